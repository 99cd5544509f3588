//! Settings.

use fairspell_store::StoreError;

use crate::world::{fresh, now};

#[tokio::test]
async fn a_setting_is_kept_under_its_name_until_the_next_one() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.setting::<String>("public_url").await.unwrap(), None);
    store.save_setting("public_url", "https://example.com").await.unwrap();
    store.save_setting("public_url", "https://example.org").await.unwrap();
    store.save_setting("checked_at", &now()).await.unwrap();
    let url: Option<String> = store.setting("public_url").await.unwrap();
    assert_eq!(url.as_deref(), Some("https://example.org"));
    assert_eq!(store.setting("checked_at").await.unwrap(), Some(now()));
}

#[tokio::test]
async fn a_setting_of_another_kind_is_named_but_not_repeated() {
    let (_folder, store) = fresh().await;
    store.save_setting("secret", "open sesame").await.unwrap();
    let error = store.setting::<u32>("secret").await.unwrap_err();
    assert!(matches!(error, StoreError::Damaged { .. }));
    assert!(!error.to_string().contains("sesame"), "{error}");
}
