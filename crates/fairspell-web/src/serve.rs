//! The running server: it listens, keeps its round going, and ends in order.

use std::{net::SocketAddr, sync::Arc, time::Duration};

use fairspell_store::Store;
use tokio::{net::TcpListener, sync::Notify};

use crate::{
    app::{App, Settings},
    clock::Machine,
    error::PageError,
    routes::router,
    watch,
};

/// Why a studio cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The address cannot be listened on.
    #[error("listen on {address}: {cause}")]
    Listen {
        /// The address.
        address: SocketAddr,
        /// What the system says.
        cause: std::io::Error,
    },
    /// The studio cannot be opened.
    #[error(transparent)]
    Open(#[from] PageError),
    /// The server broke off.
    #[error("the server broke off: {0}")]
    BrokeOff(std::io::Error),
}

/// How long answers under way may still take when the program is asked to end.
const LAST_ANSWERS: Duration = Duration::from_secs(5);

/// Serves a studio until the program is asked to end.
///
/// - `store`: the studio's, opened for writing.
/// - `ready`: hears the address once pages can be asked for; with port 0 the system has chosen it.
///
/// # Errors
///
/// [`ServeError`]: the address is taken, or the studio cannot be read.
pub async fn serve(
    mut settings: Settings,
    machine: Machine,
    store: Store,
    ready: impl FnOnce(SocketAddr),
) -> Result<(), ServeError> {
    let listen = settings.listen;
    let refused = |cause| ServeError::Listen { address: listen, cause };
    let listener = TcpListener::bind(listen).await.map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    if settings.is_demo && settings.public_url.is_none() {
        // The demo's family looks from the same computer.
        settings.public_url = Some(format!("http://{address}"));
    }
    let app = App::open(settings, machine, store).await?;
    let round = tokio::spawn(watch::run(app.clone()));
    ready(address);
    let service = router(app.clone()).into_make_service_with_connect_info::<SocketAddr>();
    let ending = Arc::new(Notify::new());
    let (asked, ends) = (ending.clone(), ending);
    let serving = axum::serve(listener, service).with_graceful_shutdown(async move {
        asked_to_end().await;
        asked.notify_one();
    });
    // A slow visitor does not keep the program from ending.
    let served = tokio::select! {
        served = serving => served,
        () = async { ends.notified().await; tokio::time::sleep(LAST_ANSWERS).await } => Ok(()),
    };
    round.abort();
    let _ = round.await;
    if let Some(app) = Arc::into_inner(app) {
        app.store.close().await;
    }
    served.map_err(ServeError::BrokeOff)
}

/// Waits for the interrupt key or the system's word to end.
async fn asked_to_end() {
    let interrupted = async {
        let _ = tokio::signal::ctrl_c().await;
    };
    #[cfg(unix)]
    let told = async {
        use tokio::signal::unix::{SignalKind, signal};
        match signal(SignalKind::terminate()) {
            Ok(mut term) => {
                term.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let told = std::future::pending::<()>();
    tokio::select! {
        () = interrupted => {}
        () = told => {}
    }
}
