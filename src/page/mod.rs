//! The page: everything after the examination, in a browser on the therapist's own machine.
//!
//! It binds to this machine alone, answers nobody who doesn't know the address that was printed, and loads nothing from elsewhere.

mod answer;
mod board;
mod case;
mod change;
mod clients;
mod desk;
mod form;
mod guard;
mod heard;
mod joints;
mod listen;
mod live;
mod read;
mod search;
mod settle;
mod sound;
mod undo;
mod unlock;
mod visit;

use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::header::CONTENT_TYPE;
use axum::middleware::from_fn_with_state;
use axum::response::IntoResponse;
use axum::routing::{get, post};
use tokio::net::TcpListener;

use crate::error::{Error, Result};

pub use desk::Desk;
pub use listen::Ears;
pub use live::Live;

/// The most that a form may hold, in bytes.
const LARGEST_FORM: usize = 256 * 1024;

/// How often it is looked whether the record has been idle for too long.
const LOOK: Duration = Duration::from_secs(5);

/// The page's place on this machine, taken but not yet served.
pub struct Place {
    listener: std::net::TcpListener,
    address: SocketAddr,
}

impl Place {
    /// Takes a port of this machine; 0: any that is free.
    ///
    /// # Errors
    /// The port is taken.
    pub fn take(port: u16) -> Result<Place> {
        let taken = |source| Error::File {
            doing: format!(
                "use port {port} of this machine (another program may have it; --port names another)"
            ),
            source,
        };
        let listener = std::net::TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(taken)?;
        listener.set_nonblocking(true).map_err(taken)?;
        let address = listener.local_addr().map_err(taken)?;
        Ok(Place { listener, address })
    }

    /// The address that opens the page, token included; with what is listened to, that is shown first.
    pub fn address_of(&self, desk: &Desk) -> String {
        format!("http://{}/enter?token={}", self.address, desk.token)
    }

    /// Serves the page until the program ends.
    ///
    /// # Errors
    /// The system gives no thread or takes the port away.
    pub fn serve(self, desk: Arc<Desk>) -> Result<()> {
        let failed = |source| Error::File {
            doing: "serve the page".into(),
            source,
        };
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .map_err(failed)?;
        runtime.block_on(async {
            let listener = TcpListener::from_std(self.listener).map_err(failed)?;
            tokio::spawn(watch(desk.clone()));
            axum::serve(listener, router(desk)).await.map_err(failed)
        })
    }
}

/// Closes the record also where nobody asks any more.
async fn watch(desk: Arc<Desk>) {
    let mut often = tokio::time::interval(LOOK);
    loop {
        often.tick().await;
        let desk = desk.clone();
        let _ = tokio::task::spawn_blocking(move || desk.lock_if_idle()).await;
    }
}

/// All that can be asked for.
fn router(desk: Arc<Desk>) -> Router {
    Router::new()
        .route("/", get(clients::list).post(clients::add))
        .route("/client/{code}", get(case::show))
        .route(
            "/client/{code}/about",
            get(clients::about).post(clients::describe),
        )
        .route("/client/{code}/listen", post(listen::begin))
        .route("/client/{code}/visit", post(visit::open))
        .route("/client/{code}/visit/{number}", get(visit::show))
        .route("/client/{code}/visit/{number}/about", post(visit::describe))
        .route("/client/{code}/visit/{number}/add", post(change::add))
        .route("/client/{code}/visit/{number}/settle", post(settle::settle))
        .route("/client/{code}/visit/{number}/sign", post(visit::sign))
        .route("/read", get(read::read))
        .route("/finding/{id}", get(change::show).post(change::change))
        .route("/finding/{id}/back", post(change::take_back))
        .route("/undo", post(undo::undo))
        .route("/search", get(search::show))
        .route("/sound/{clip}", get(sound::play))
        .route("/live", get(live::show))
        .route("/live/events", get(live::events))
        .route("/live/touch", post(live::touch))
        .route("/live/stop", post(live::stop))
        .route("/awake", get(unlock::awake))
        .route("/lock", post(unlock::lock))
        .route("/unlock", get(unlock::show).post(unlock::unlock))
        .route("/new", post(unlock::make))
        .route(
            "/page.css",
            get(|| file("text/css; charset=utf-8", include_str!("page.css"))),
        )
        .route(
            "/page.js",
            get(|| file("text/javascript; charset=utf-8", include_str!("page.js"))),
        )
        .route(
            "/icon.svg",
            get(|| file("image/svg+xml", include_str!("icon.svg"))),
        )
        .fallback(answer::nothing_here)
        .layer(DefaultBodyLimit::max(LARGEST_FORM))
        .layer(from_fn_with_state(desk.clone(), guard::guard))
        .with_state(desk)
}

/// A file that the program carries.
async fn file(what: &'static str, text: &'static str) -> impl IntoResponse {
    ([(CONTENT_TYPE, what)], text)
}
