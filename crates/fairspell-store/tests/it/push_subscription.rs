//! Push subscriptions.

use crate::world::{fresh, push_subscription};

#[tokio::test]
async fn a_browser_that_subscribes_again_is_kept_once_with_its_new_keys() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.push_subscriptions().await.unwrap(), Vec::new());
    let one = push_subscription("https://push.example.com/1");
    let mut two = push_subscription("https://push.example.com/2");
    store.save_push_subscription(&one).await.unwrap();
    store.save_push_subscription(&two).await.unwrap();
    two.auth = "another".to_owned();
    store.save_push_subscription(&two).await.unwrap();
    assert_eq!(store.push_subscriptions().await.unwrap(), [one, two.clone()]);
    assert!(store.drop_push_subscription("https://push.example.com/1").await.unwrap());
    assert!(!store.drop_push_subscription("https://push.example.com/1").await.unwrap());
    assert_eq!(store.push_subscriptions().await.unwrap(), [two]);
}
