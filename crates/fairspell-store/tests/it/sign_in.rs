//! Signing in and out.

use fairspell_store::Store;
use fairspell_studio::journal::Digest;

use crate::world::{fresh, minutes_later, now};

#[tokio::test]
async fn a_device_is_signed_in_until_its_time_is_over() {
    let (_folder, store) = fresh().await;
    let token = Digest::of(b"cookie");
    let id = store.sign_in(&token, now(), minutes_later(60), "a telephone").await.unwrap();
    let signed_in = store.signed_in(&token, minutes_later(59)).await.unwrap().unwrap();
    assert_eq!((signed_in.id, signed_in.device.as_str()), (id, "a telephone"));
    assert_eq!((signed_in.at, signed_in.expires_at), (now(), minutes_later(60)));
    assert_eq!(store.signed_in(&token, minutes_later(60)).await.unwrap(), None);
    assert_eq!(store.sign_ins(minutes_later(60)).await.unwrap(), Vec::new());
    assert_eq!(store.signed_in(&Digest::of(b"another"), now()).await.unwrap(), None);
}

#[tokio::test]
async fn devices_are_listed_and_signed_out_one_by_one_and_all_together() {
    let (_folder, store) = fresh().await;
    let mut ids = Vec::new();
    for (minute, device) in (0_u8..).zip(["one", "two", "three", "four"]) {
        let (at, expires_at) = (minutes_later(minute.into()), minutes_later(600));
        ids.push(store.sign_in(&Digest::of(&[minute]), at, expires_at, device).await.unwrap());
    }
    let devices = async |store: &Store| {
        let all = store.sign_ins(minutes_later(5)).await.unwrap();
        all.into_iter().map(|it| it.device).collect::<Vec<_>>()
    };
    assert_eq!(devices(&store).await, ["four", "three", "two", "one"]);
    assert!(store.sign_out(ids[1]).await.unwrap());
    assert!(!store.sign_out(ids[1]).await.unwrap());
    assert!(store.sign_out_token(&Digest::of(&[0])).await.unwrap());
    assert!(!store.sign_out_token(&Digest::of(&[0])).await.unwrap());
    assert_eq!(devices(&store).await, ["four", "three"]);
    assert_eq!(store.sign_out_all().await.unwrap(), 2);
    assert_eq!(devices(&store).await, Vec::<String>::new());
}
