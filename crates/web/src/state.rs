//! What the pages share: the shop, the embedded files, news for open pages, readings kept in memory.

use crate::accounts::Accounts;
use crate::assets::Assets;
use crate::news::News;
use crate::readings::Readings;
use crate::serving::ServeError;
use crate::shield::Door;
use notebook::Notebook;
use std::path::Path;
use std::sync::{Arc, Mutex};
use store::Store;
use tokio::sync::{broadcast, watch};

/// The shop as the pages see it. Cheap to clone; every clone is the same.
#[derive(Debug, Clone)]
pub struct AppState(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    store: Store,
    notebook: Notebook,
    assets: Assets,
    door: Door,
    accounts: Accounts,
    readings: Readings,
    news: broadcast::Sender<News>,
    closing: watch::Sender<bool>,
    last: Mutex<(i64, Option<String>)>,
}

impl AppState {
    /// Opens a shop's folder; an empty or missing folder becomes a new shop.
    ///
    /// # Errors
    /// [`ServeError::Shop`] with the store's words.
    pub fn open(shop: &Path) -> Result<Self, ServeError> {
        Ok(Self::of(Store::open(shop)?))
    }

    /// Takes a shop that is open already, for this machine alone.
    pub fn of(store: Store) -> Self {
        Self::behind(store, Door::loopback())
    }

    /// Takes a shop that is open already, behind a door.
    pub(crate) fn behind(store: Store, door: Door) -> Self {
        let notebook = Notebook::of(store.clone());
        Self(Arc::new(Inner {
            store,
            notebook,
            assets: Assets::gather(),
            accounts: Accounts::new(door.secure(), door.open_wide()),
            door,
            readings: Readings::default(),
            news: broadcast::channel(256).0,
            closing: watch::channel(false).0,
            last: Mutex::new((0, None)),
        }))
    }

    /// The shop.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    pub(crate) fn door(&self) -> &Door {
        &self.0.door
    }

    pub(crate) fn accounts(&self) -> &Accounts {
        &self.0.accounts
    }

    /// The shop's jobs.
    pub fn notebook(&self) -> &Notebook {
        &self.0.notebook
    }

    pub(crate) fn assets(&self) -> &Assets {
        &self.0.assets
    }

    pub(crate) fn readings(&self) -> &Readings {
        &self.0.readings
    }

    pub(crate) fn news(&self) -> &broadcast::Sender<News> {
        &self.0.news
    }

    /// Turns true when the server is closing.
    pub(crate) fn closing(&self) -> watch::Receiver<bool> {
        self.0.closing.subscribe()
    }

    /// Ends every event stream.
    pub(crate) fn close(&self) {
        self.0.closing.send_replace(true);
    }

    /// Name of the shop: the setting `shop.name`, or else the folder's name.
    pub(crate) fn shop_name(&self) -> String {
        if let Ok(Some(name)) = self.store().setting("shop.name") {
            return name;
        }
        let dir = self.store().dir();
        let name = dir.file_name().map(|n| n.to_string_lossy().into_owned());
        name.filter(|n| !n.is_empty()).unwrap_or_else(|| "The shop".to_owned())
    }

    /// "Saved in the shop, 14:32", by the newest entry.
    pub(crate) fn saved_words(&self) -> String {
        match self.last_change() {
            Some(at) => format!("Saved in the shop, {}", crate::words::clock_or_day(&at)),
            None => "Nothing saved yet".to_owned(),
        }
    }

    /// When the newest entry was written, RFC 3339.
    fn last_change(&self) -> Option<String> {
        let store = self.store();
        let newest = store.latest_change().ok()?;
        let mut last = self.0.last.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if last.0 != newest {
            let at = store.changes_since(newest - 1).ok()?.pop().map(|change| change.at);
            *last = (newest, at);
        }
        last.1.clone()
    }
}
