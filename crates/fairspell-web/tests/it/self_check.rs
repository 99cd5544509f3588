use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use tokio::{
    io::{AsyncReadExt, AsyncWriteExt},
    net::TcpListener,
};

use crate::{
    desk::letter,
    readings::Readings,
    running::{Running, until},
    served::{EVENING_BEFORE, HOME, Served, it_is, later},
};

fn link_in(page: &str) -> Option<String> {
    let (_, rest) = page.split_once("You can answer here: ")?;
    let ends = |c: char| c.is_whitespace() || c == '<';
    Some(rest.split(ends).next()?.to_owned())
}

#[tokio::test]
async fn the_familys_link_is_offered_while_the_public_address_leads_to_us() {
    it_is(EVENING_BEFORE);
    let running = Running::start(Readings::dry, None).await;
    running.store.send_letter(&letter("a1")).await.unwrap();
    let link = until(async || link_in(&running.get("/letters/a1").await)).await;
    let start = format!("http://{}/f/a1.", running.address);
    assert!(link.starts_with(&start), "{link}");
    // It leads to the family's page.
    let path = link.strip_prefix(&format!("http://{}", running.address)).unwrap();
    let page = running.get(path).await;
    assert!(page.starts_with("HTTP/1.1 200") && page.contains("For Linh and Quoc"), "{page}");
    // An answer counts for a quarter of an hour; then it has to be asked again.
    later(14);
    assert!(link_in(&running.get("/letters/a1").await).is_some());
    later(1);
    let page = running.get("/letters/a1").await;
    assert!(link_in(&page).is_none() && !page.contains("/f/"), "{page}");
    running.look_again().await;
    until(async || link_in(&running.get("/letters/a1").await)).await;
}

/// Answers every request with the same text.
async fn somebody_else(says: &'static str) -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    tokio::spawn(async move {
        while let Ok((mut stream, _)) = listener.accept().await {
            let _ = stream.read(&mut [0; 4096]).await;
            let _ = stream.write_all(says.as_bytes()).await;
        }
    });
    port
}

#[tokio::test]
async fn an_address_that_leads_to_somebody_else_is_offered_to_nobody() {
    it_is(EVENING_BEFORE);
    for says in [
        "HTTP/1.1 200 OK\r\nContent-Length: 5\r\nConnection: close\r\n\r\nhello",
        "HTTP/1.1 200 OK\r\nContent-Length: 43\r\nConnection: close\r\n\r\n\
         AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA",
        "HTTP/1.1 302 Found\r\nLocation: http://127.0.0.1:9/\r\nContent-Length: 0\r\n\
         Connection: close\r\n\r\n",
        "no answer at all",
    ] {
        let port = somebody_else(says).await;
        let running = Running::start(Readings::none, Some(port)).await;
        running.store.send_letter(&letter("a1")).await.unwrap();
        // The round has come by when it has made the studio's key for push services.
        running.look_again().await;
        tokio::time::sleep(std::time::Duration::from_millis(300)).await;
        let page = running.get("/letters/a1").await;
        assert!(link_in(&page).is_none() && !page.contains("/f/a1"), "{says}: {page}");
    }
}

#[tokio::test]
async fn only_short_words_are_signed_and_for_this_purpose_alone() {
    let served = Served::open().await;
    let guest = served.browser(HOME);
    let signed = async |word: &str| guest.get(&format!("/self-check/{word}")).await.text;
    let word = "AbCdEfGhIjKlMnOpQrSt-_";
    let signature = signed(word).await;
    assert_eq!(URL_SAFE_NO_PAD.decode(&signature).unwrap().len(), 32);
    assert_ne!(signed("bbCdEfGhIjKlMnOpQrSt-_").await, signature);
    for other in [
        "short",
        "AbCdEfGhIjKlMnOpQrSt-_x",
        "AbCdEfGhIjKlMnOpQrSt-.",
        "a1.1788595200.AAAAAAAA",
        "%20bCdEfGhIjKlMnOpQrSt",
    ] {
        assert_eq!(signed(other).await, "", "{other}");
    }
    // Whoever has words signed here can make neither a link nor a calendar's address of it.
    let path = format!("/f/{word}.{}", &signature[..22]);
    assert_eq!(guest.get(&path).await.status, 404);
}
