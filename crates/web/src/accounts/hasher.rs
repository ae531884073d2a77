//! Hashing beside the threads that answer, a few at a time.
//!
//! One hash takes 19 MiB and a core for tens of milliseconds. Without a bound, a hundred requests at
//! the door would take the whole machine away from the people who measure. So at most half the
//! cores hash, a short queue waits, and whoever comes then is told to come again.

use super::password::{Password, PasswordError, nobodys};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use tokio::sync::Semaphore;

/// Most that wait for their turn.
const QUEUE: usize = 16;

/// The place where passwords are hashed.
#[derive(Debug, Clone)]
pub(crate) struct Hasher {
    turns: Arc<Semaphore>,
    queue: Arc<Semaphore>,
    done: Arc<AtomicU64>,
}

/// Why nothing was hashed.
#[derive(Debug, thiserror::Error)]
pub(crate) enum HashError {
    /// Too many wait already.
    #[error("too many sign-ins at once")]
    Busy,
    /// The password, or the library.
    #[error(transparent)]
    Password(#[from] PasswordError),
}

impl Default for Hasher {
    fn default() -> Self {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self::with(cores.div_ceil(2).min(4), QUEUE)
    }
}

impl Hasher {
    fn with(turns: usize, queue: usize) -> Self {
        Self {
            turns: Arc::new(Semaphore::new(turns)),
            queue: Arc::new(Semaphore::new(turns + queue)),
            done: Arc::new(AtomicU64::new(0)),
        }
    }

    /// Whether `kept` is the hash of the password. With nothing kept the same work is done, and the answer is no.
    pub(crate) async fn is_of(&self, password: Password, kept: Option<String>) -> Result<bool, HashError> {
        let known = kept.is_some();
        let kept = kept.unwrap_or_else(nobodys);
        Ok(self.run(move || password.is_of(&kept)).await? && known)
    }

    /// The hash of a password that is to be kept.
    pub(crate) async fn hash(&self, password: Password) -> Result<String, HashError> {
        self.run(move || password.hash()).await
    }

    /// How many hashes were made or compared.
    #[cfg(test)]
    pub(crate) fn done(&self) -> u64 {
        self.done.load(Ordering::Relaxed)
    }

    async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, PasswordError> + Send + 'static,
    ) -> Result<T, HashError> {
        let _place = self.queue.clone().try_acquire_owned().map_err(|_| HashError::Busy)?;
        let turn = self.turns.clone().acquire_owned().await.map_err(|_| HashError::Busy)?;
        let work = tokio::task::spawn_blocking(move || {
            // The turn ends with the work, also when the one who asked has gone.
            let _turn = turn;
            work()
        });
        let done = work.await.map_err(|e| PasswordError::NotHashed { why: e.to_string() })?;
        self.done.fetch_add(1, Ordering::Relaxed);
        Ok(done?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn only_so_many_hash_at_once_and_only_so_many_wait() {
        let hasher = Hasher::with(1, 2);
        let (open, gate) = std::sync::mpsc::channel::<()>();
        let gate = Arc::new(std::sync::Mutex::new(gate));
        let running = Arc::new(AtomicU64::new(0));
        let most = Arc::new(AtomicU64::new(0));
        let work = || {
            let (hasher, gate, running, most) = (hasher.clone(), gate.clone(), running.clone(), most.clone());
            tokio::spawn(async move {
                hasher
                    .run(move || {
                        most.fetch_max(running.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                        let _ = gate.lock().unwrap().recv();
                        running.fetch_sub(1, Ordering::SeqCst);
                        Ok(())
                    })
                    .await
            })
        };
        let held: Vec<_> = (0..3).map(|_| work()).collect();
        while hasher.queue.available_permits() > 0 {
            tokio::task::yield_now().await;
        }
        assert!(matches!(work().await.unwrap(), Err(HashError::Busy)), "a fourth is sent away");
        for _ in 0..3 {
            open.send(()).unwrap();
        }
        for one in held {
            one.await.unwrap().unwrap();
        }
        assert_eq!(most.load(Ordering::SeqCst), 1, "never two at once");
        assert_eq!(hasher.done(), 3);
    }

    #[tokio::test]
    async fn an_unknown_name_costs_one_hash_like_a_known_one() {
        let hasher = Hasher::with(1, 2);
        let kept = Password::typed("grey lathe by the door").hash().unwrap();
        assert!(hasher.is_of(Password::typed("grey lathe by the door"), Some(kept.clone())).await.unwrap());
        assert!(!hasher.is_of(Password::typed("brass lathe"), Some(kept)).await.unwrap());
        assert_eq!(hasher.done(), 2);
        assert!(!hasher.is_of(Password::typed("brass lathe"), None).await.unwrap());
        assert_eq!(hasher.done(), 3, "the same work without an account");
    }
}
