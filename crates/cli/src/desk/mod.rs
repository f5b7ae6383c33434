//! `desk`: a page in the browser on which pieces are typed, seen and heard. The server listens to this
//! machine alone.

mod bring;
mod browser;
mod drawn;
mod folder;
mod guard;
mod known;
mod music;
mod paper;
mod pictures;
mod pieces;
mod refusal;
mod room;
mod routes;
mod server;
mod session;
mod socket;
mod sound;

use std::net::Ipv4Addr;
use std::sync::Arc;

use axum::serve::ListenerExt as _;
use tokio::net::TcpListener;

use crate::Outcome;
use crate::arguments::Desk;
use crate::files::Failure;
use crate::interruption::interrupted;
use crate::printed::Printed;
use crate::streams::{Stream, answer, say};
use folder::Folder;
use routes::router;
use server::Server;
use session::Session;

pub(crate) fn run(options: &Desk) -> Result<Outcome, Failure> {
    let folder = Folder::new(&options.folder)
        .map_err(|error| Failure::Unread(options.folder.clone(), error))?;
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|error| Failure::Said(format!("cannot serve: {error}")))?;
    runtime.block_on(serve(options, folder))?;
    // What still draws or searches is not waited for.
    runtime.shutdown_background();
    Ok(Outcome::Done)
}

async fn serve(options: &Desk, folder: Folder) -> Result<(), Failure> {
    let listener =
        TcpListener::bind((Ipv4Addr::LOCALHOST, options.port)).await.map_err(|error| {
            Failure::Said(format!(
                "cannot listen to port {}: {error}; is a desk open already? --port takes another",
                options.port
            ))
        })?;
    let unheard = |error: std::io::Error| Failure::Said(format!("cannot serve: {error}"));
    let port = listener.local_addr().map_err(unheard)?.port();
    let session = Session::new()?;
    let address = format!("http://{}:{port}/#code={}", guard::NAME, session.code()?);
    let name = folder.shown();
    let server = Arc::new(Server {
        port,
        folder,
        session,
        rooms: std::sync::Mutex::default(),
        known: known::Known::default(),
        drawn: std::sync::Mutex::default(),
    });
    let said = format!("the desk of {name} is ready, for one browser: {address}\n");
    say(&Printed::plain("Ctrl+C ends the desk; all that is typed is saved first\n"));
    answer(Stream::Output, &Printed::plain(said))?;
    if !options.no_open && !browser::open(&address) {
        say(&Printed::plain("no browser could be opened: open the address yourself\n"));
    }
    // The end of a message must not wait until its beginning was acknowledged.
    let listener = listener.tap_io(|stream| {
        let _ = stream.set_nodelay(true);
    });
    tokio::select! {
        served = async { axum::serve(listener, router(server.clone())).await } => served.map_err(unheard)?,
        () = interrupted() => {}
    }
    for room in server.open() {
        room.save().await;
    }
    Ok(())
}
