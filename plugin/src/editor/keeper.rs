//! Reads and writes what is remembered on a thread of its own: a slow disk stops neither the window nor the host.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use nice_plug::prelude::*;

use super::settings::{Changes, Settings};

/// What has changed is written when nothing more has for this long.
const STILL: Duration = Duration::from_millis(500);
/// A window that opens waits at most so long for what is remembered; then it opens as one that remembers nothing.
const PATIENCE: Duration = Duration::from_millis(200);

/// Keeps the settings of an instance's window.
pub(super) struct Keeper {
    path: Option<PathBuf>,
    desk: Arc<Desk>,
    thread: Mutex<Option<JoinHandle<()>>>,
}

#[derive(Default)]
struct Desk {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Default)]
struct State {
    is_working: bool,
    is_closing: bool,
    is_asked: bool,
    /// What was read when it was asked for last.
    read: Option<Settings>,
    /// Changed by this instance, and not in the file yet.
    pending: Changes,
    /// When that is to be written.
    due: Option<Instant>,
}

impl Desk {
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Keeper {
    /// Of a file, which nothing is asked of yet.
    pub fn new(path: Option<PathBuf>) -> Self {
        Self { path, desk: Arc::default(), thread: Mutex::default() }
    }

    /// What is remembered now, of whatever instance.
    pub fn settings(&self) -> Settings {
        let mut state = self.desk.lock();
        let mut read = None;
        if let Some(path) = &self.path {
            (state.is_closing, state.is_asked, state.read) = (false, true, None);
            if !state.is_working {
                state.is_working = true;
                drop(state);
                self.start(path.clone());
                state = self.desk.lock();
            }
            self.desk.changed.notify_all();
            let waited = self.desk.changed.wait_timeout_while(state, PATIENCE, |state| state.read.is_none());
            state = waited.unwrap_or_else(PoisonError::into_inner).0;
            read = state.read;
        }
        state.pending.of(read.unwrap_or_default())
    }

    fn start(&self, path: PathBuf) {
        let desk = self.desk.clone();
        let mut thread = self.thread.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(last) = thread.take() {
            let _ = last.join();
        }
        *thread = std::thread::Builder::new().spawn(move || work(&desk, &path)).ok();
    }

    /// Keeps what has changed, soon.
    pub fn change(&self, changes: Changes) {
        let mut state = self.desk.lock();
        state.pending = state.pending.then(changes);
        state.due = Some(Instant::now() + STILL);
        self.desk.changed.notify_all();
    }

    /// Keeps at once what is not kept yet. Nobody waits for that.
    pub fn close(&self) {
        self.desk.lock().is_closing = true;
        self.desk.changed.notify_all();
    }
}

/// The thread's code may be gone after the last instance.
impl Drop for Keeper {
    fn drop(&mut self) {
        self.close();
        let thread = self.thread.get_mut().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(thread) = thread {
            let _ = thread.join();
        }
    }
}

fn work(desk: &Desk, path: &Path) {
    let mut state = desk.lock();
    loop {
        if std::mem::take(&mut state.is_asked) {
            drop(state);
            let read = Settings::load(path);
            state = desk.lock();
            state.read = Some(read);
            desk.changed.notify_all();
        } else if state.due.is_some_and(|due| state.is_closing || due <= Instant::now()) {
            state.due = None;
            let changes = state.pending;
            drop(state);
            let saved = changes.save(path);
            state = desk.lock();
            match saved {
                Ok(()) => state.pending = state.pending.without(changes),
                Err(error) => nice_warn!("The window's size is not remembered: {error}"),
            }
        } else if state.is_closing {
            state.is_working = false;
            return;
        } else if let Some(due) = state.due {
            let left = due.saturating_duration_since(Instant::now());
            state = desk.changed.wait_timeout(state, left).unwrap_or_else(PoisonError::into_inner).0;
        } else {
            state = desk.changed.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::Theme;

    fn until(mut is_so: impl FnMut() -> bool) {
        let begin = Instant::now();
        while !is_so() {
            assert!(begin.elapsed() < Duration::from_secs(10));
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    #[test]
    fn two_that_change_different_things_both_keep_theirs() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("editor.toml");
        let [first, second] = [0, 1].map(|_| Keeper::new(Some(path.clone())));
        let before = first.settings();
        assert_eq!(second.settings(), before);
        let dark = Settings { theme: Theme::Dark, ..before };
        let wide = Settings { width: 1_300.0, zoom: 2.0, ..before };
        first.change(Changes::between(&before, &dark));
        second.change(Changes::between(&before, &wide));
        let both = Settings { theme: Theme::Dark, ..wide };
        until(|| Settings::load(&path) == both);
        assert_eq!((first.settings(), second.settings()), (both, both));
    }

    /// Once, after the last of many; and at once where a window closes.
    #[test]
    fn it_is_written_when_things_are_still() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("editor.toml");
        let keeper = Keeper::new(Some(path.clone()));
        let before = keeper.settings();
        for width in 0..50 {
            #[expect(clippy::cast_precision_loss, reason = "small")]
            let after = Settings { width: 1_000.0 + width as f32, ..before };
            keeper.change(Changes::between(&before, &after));
        }
        assert!(!path.exists());
        keeper.close();
        until(|| path.exists());
        assert_eq!(Settings::load(&path).width, 1_049.0);
        assert_eq!(keeper.settings().width, 1_049.0, "it opens again");
        keeper.change(Changes::between(&before, &Settings { zoom: 1.5, ..before }));
        drop(keeper);
        assert_eq!(Settings::load(&path).zoom, 1.5);
    }

    #[test]
    fn what_cannot_be_written_is_remembered_while_the_instance_lives() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("file"), "").unwrap();
        for path in [None, Some(folder.path().join("file").join("editor.toml"))] {
            let keeper = Keeper::new(path);
            let before = keeper.settings();
            let after = Settings { zoom: 1.5, ..before };
            keeper.change(Changes::between(&before, &after));
            keeper.close();
            assert_eq!(keeper.settings(), after);
        }
    }
}
