//! The signal between a phone and the studio, which can be cut while the phone stays on.

use std::sync::{
    Arc, Mutex, MutexGuard, PoisonError,
    atomic::{AtomicBool, Ordering},
};

use anyhow::{Context, Result};
use tokio::{
    io::copy_bidirectional,
    net::{TcpListener, TcpStream},
    task::JoinHandle,
};

/// Passes bytes between a port of its own and a studio, until the signal is cut.
#[derive(Debug)]
pub struct Relay {
    base: String,
    wires: Arc<Wires>,
    listening: JoinHandle<()>,
}

#[derive(Debug, Default)]
struct Wires {
    is_cut: AtomicBool,
    open: Mutex<Vec<JoinHandle<()>>>,
}

impl Wires {
    fn open(&self) -> MutexGuard<'_, Vec<JoinHandle<()>>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Relay {
    /// Begins to pass bytes on.
    ///
    /// - `base`: where the studio is served, without a slash at its end.
    ///
    /// # Errors
    ///
    /// No port is free.
    pub async fn to(base: &str) -> Result<Relay> {
        let studio = base.trim_start_matches("http://").to_owned();
        let listener = TcpListener::bind("127.0.0.1:0").await.context("listen on a port")?;
        let own = format!("http://{}", listener.local_addr().context("ask for the port")?);
        let wires = Arc::new(Wires::default());
        let of_listener = wires.clone();
        let listening = tokio::spawn(async move {
            while let Ok((phone, _)) = listener.accept().await {
                let mut open = of_listener.open();
                open.retain(|wire| !wire.is_finished());
                // Without a signal what is asked gets no answer, and its connection is dropped.
                if !of_listener.is_cut.load(Ordering::SeqCst) {
                    open.push(tokio::spawn(pass_on(phone, studio.clone())));
                }
            }
        });
        Ok(Relay { base: own, wires, listening })
    }

    /// Where the studio is reached through it, without a slash at its end.
    pub fn base(&self) -> &str {
        &self.base
    }

    /// The signal is gone: connections that stand are broken, new ones are dropped.
    pub fn cut(&self) {
        let mut open = self.wires.open();
        self.wires.is_cut.store(true, Ordering::SeqCst);
        open.drain(..).for_each(|wire| wire.abort());
    }

    /// The signal is back.
    pub fn restore(&self) {
        self.wires.is_cut.store(false, Ordering::SeqCst);
    }
}

impl Drop for Relay {
    fn drop(&mut self) {
        self.listening.abort();
        self.cut();
    }
}

async fn pass_on(mut phone: TcpStream, studio: String) {
    if let Ok(mut studio) = TcpStream::connect(studio).await {
        // Either side may go whenever it likes.
        let _ = copy_bidirectional(&mut phone, &mut studio).await;
    }
}
