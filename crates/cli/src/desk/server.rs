//! What the desk holds while it runs.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use tokio::task::{AbortHandle, spawn};

use super::drawn::Drawn;
use super::folder::{Folder, must_be_parts};
use super::known::Known;
use super::refusal::Refusal;
use super::room::Room;
use super::session::Session;

/// The most bytes of a request: a text, or the files that are brought, in JSON.
pub(super) const LARGEST: usize = 64 << 20;

/// All that the desk holds while it runs.
pub(super) struct Server {
    pub(super) port: u16,
    pub(super) folder: Folder,
    pub(super) session: Session,
    /// The pieces that are open, by their names, each with what saves it.
    pub(super) rooms: Mutex<HashMap<String, (Arc<Room>, AbortHandle)>>,
    /// What is known of the pieces of the folder.
    pub(super) known: Known,
    /// Pages of pictures that were drawn last.
    pub(super) drawn: Mutex<Drawn>,
}

impl Server {
    /// The pieces that are open.
    pub(super) fn open(&self) -> Vec<Arc<Room>> {
        let rooms = self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
        rooms.values().map(|(room, _)| room.clone()).collect()
    }

    /// The room of a piece, which is opened if it is not.
    pub(super) async fn room(&self, path: &str) -> Result<Arc<Room>, Refusal> {
        let file = self.folder.file(path)?;
        must_be_parts(&file)?;
        let found = {
            let mut rooms = self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
            let begun = || {
                let room = Arc::new(Room::new(path, file));
                let kept = room.clone();
                (room, spawn(async move { kept.keep().await }).abort_handle())
            };
            rooms.entry(path.to_owned()).or_insert_with(begun).0.clone()
        };
        let looked = found.look().await;
        if looked.is_err() {
            self.leave(&found);
        }
        looked.map(|()| found)
    }

    /// Lets a room go in which nobody is and nothing is unsaved.
    pub(super) fn leave(&self, room: &Room) {
        let mut rooms = self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
        if room.is_idle()
            && let Some((_, keeper)) = rooms.remove(room.path())
        {
            keeper.abort();
        }
    }
}
