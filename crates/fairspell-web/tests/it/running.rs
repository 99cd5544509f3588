//! A studio that really listens, with its round: for what goes over the wire.

use std::{net::SocketAddr, time::Duration};

use fairspell_store::Store;
use fairspell_web::{Settings, serve};
use tempfile::TempDir;
use tokio::{
    io::{AsyncReadExt, AsyncWriteExt},
    net::{TcpListener, TcpStream},
    task::JoinHandle,
};

use crate::{
    desk::{PASSPHRASE, quick_hash, sessions, studio},
    readings::Readings,
    served::{machine, now},
};

/// No test waits longer for something to happen.
const PATIENCE: Duration = Duration::from_secs(20);

/// A served studio; it ends with the test.
pub(crate) struct Running {
    pub(crate) store: Store,
    pub(crate) address: SocketAddr,
    _folder: TempDir,
    _readings: Readings,
    serving: JoinHandle<()>,
    cookie: String,
}

impl Drop for Running {
    fn drop(&mut self) {
        self.serving.abort();
    }
}

/// A port that nobody listens on.
pub(crate) async fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").await.unwrap().local_addr().unwrap().port()
}

impl Running {
    /// Serves the example's studio with somebody signed in.
    ///
    /// - `public_port`: where its public address is said to be; its own when there is none.
    pub(crate) async fn start(readings: fn(&Readings), public_port: Option<u16>) -> Running {
        let folder = tempfile::tempdir().unwrap();
        let files = Readings::under(folder.path());
        readings(&files);
        let store = Store::open(folder.path(), now()).await.unwrap();
        store.save_studio(&studio(), now()).await.unwrap();
        for session in sessions() {
            store.save_session(&session, now()).await.unwrap();
        }
        store.save_setting("passphrase", &quick_hash(PASSPHRASE)).await.unwrap();
        let port = free_port().await;
        let settings = Settings {
            data: folder.path().to_owned(),
            listen: ([127, 0, 0, 1], port).into(),
            public_url: Some(format!("http://127.0.0.1:{}", public_port.unwrap_or(port))),
            is_demo: false,
            clock: None,
        };
        let (ready, mut is_ready) = tokio::sync::mpsc::unbounded_channel();
        let served = store.clone();
        let serving = tokio::spawn(async move {
            let told = |address| ready.send(address).unwrap();
            serve(settings, machine(), served, told).await.unwrap();
        });
        let address = is_ready.recv().await.unwrap();
        let mut running = Running {
            store,
            address,
            _folder: folder,
            _readings: files,
            serving,
            cookie: String::new(),
        };
        let form = serde_urlencoded::to_string([("passphrase", PASSPHRASE)]).unwrap();
        let answer = running.ask("POST", "/sign-in", &form).await;
        let cookie = answer.lines().find_map(|line| line.strip_prefix("set-cookie: "));
        cookie.unwrap().split(';').next().unwrap().clone_into(&mut running.cookie);
        running
    }

    /// The whole answer, headers and all.
    pub(crate) async fn ask(&self, method: &str, path: &str, body: &str) -> String {
        let request = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\nConnection: close\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            self.address,
            self.cookie,
            body.len()
        );
        let mut stream = TcpStream::connect(self.address).await.unwrap();
        stream.write_all(request.as_bytes()).await.unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).await.unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    }

    pub(crate) async fn get(&self, path: &str) -> String {
        self.ask("GET", path, "").await
    }

    /// Looks again, as the button on Now does.
    pub(crate) async fn look_again(&self) {
        let page = self.get("/people/new").await;
        let word = page.split_once("name=\"form_word\" value=\"").unwrap().1;
        let form = format!("form_word={}", word.split('"').next().unwrap());
        let answer = self.ask("POST", "/look-again", &form).await;
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    }
}

/// Waits until something is there.
pub(crate) async fn until<T>(mut look: impl AsyncFnMut() -> Option<T>) -> T {
    let looking = async {
        loop {
            if let Some(found) = look().await {
                return found;
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    tokio::time::timeout(PATIENCE, looking).await.expect("it happens in time")
}
