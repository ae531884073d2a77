//! A server that is killed at random while four clients write: every acknowledged entry is there, the chain verifies,
//! none is there twice.
//!
//! Each client keeps what it has sent until it is acknowledged and sends it again to the next server, as a tablet does.

use crate::entries::{Sent, id, mixed, note, opening, send};
use crate::server::Server;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use store::Store;

/// Fixed, so that a failure can be looked at again; the moments still depend on the machine's load.
const SEED: u64 = 20_261_129;
/// Clients that write.
const CLIENTS: u64 = 4;
/// Kills before the clients go on to new jobs, so that jobs stay as long as real ones.
const IN_ONE_JOB: u64 = 25;

/// What one client has done.
struct Client {
    number: u64,
    /// How many entries it has made so far.
    made: u64,
    /// Sent and not acknowledged: job and entry.
    open: Option<(String, Value)>,
    /// Acknowledged: id, job and number.
    saved: BTreeMap<String, (String, i64)>,
    /// Sent again after an answer was lost, and found saved or not.
    again: u64,
}

impl Client {
    /// Writes until the server is gone.
    fn write(&mut self, port: u16, job: &str, gone: &AtomicBool) {
        while !gone.load(Ordering::Relaxed) {
            let (job, entry) = self.open.take().unwrap_or_else(|| {
                self.made += 1;
                let n = 1_000_000 * (self.number + 1) + self.made;
                (job.to_owned(), note(n, &format!("note {} of client {}", self.made, self.number)))
            });
            match send(port, &job, std::slice::from_ref(&entry)) {
                Sent::Saved(numbers) => {
                    let id = entry["id"].as_str().expect("an id").to_owned();
                    assert!(self.saved.insert(id, (job, numbers[0])).is_none());
                }
                Sent::Lost => {
                    self.open = Some((job, entry));
                    self.again += 1;
                    // The server is being killed, or has not come up yet.
                    std::thread::sleep(Duration::from_millis(1));
                }
                Sent::Refused(status, words) => panic!("refused with {status}: {words}"),
            }
        }
    }
}

#[test]
fn a_server_killed_while_four_clients_write_loses_nothing_and_doubles_nothing() {
    let kills: u64 =
        std::env::var("PLATEAU_KILLS").map_or(300, |text| text.parse().expect("a number in PLATEAU_KILLS"));
    let dir = tempfile::tempdir().expect("a folder");
    let shop = dir.path().join("shop");
    let mut clients: Vec<Client> =
        (0..CLIENTS).map(|number| Client { number, made: 0, open: None, saved: BTreeMap::new(), again: 0 }).collect();
    let began = Instant::now();
    let mut there = 0;
    for kill in 0..kills {
        let server = Server::start(&shop);
        // Two clients share a job: their entries must not take each other's number.
        let jobs: Vec<String> = (0..CLIENTS / 2).map(|n| id(10 * (kill / IN_ONE_JOB) + n)).collect();
        if kill % IN_ONE_JOB == 0 {
            for (n, job) in jobs.iter().enumerate() {
                let opening = opening(500_000_000 + 10 * kill + n as u64, "invented four");
                assert!(matches!(send(server.port, job, &[opening]), Sent::Saved(_)));
            }
        }
        let gone = AtomicBool::new(false);
        let port = server.port;
        std::thread::scope(|scope| {
            for client in &mut clients {
                let (job, gone) = (&jobs[(client.number % (CLIENTS / 2)) as usize], &gone);
                scope.spawn(move || client.write(port, job, gone));
            }
            let share = mixed(SEED ^ kill) as f64 / u64::MAX as f64;
            std::thread::sleep(Duration::from_secs_f64(0.01 + 0.12 * share));
            server.kill();
            gone.store(true, Ordering::Relaxed);
        });
        // The whole check every now and then, and at the end; the acknowledged ones every time.
        there = verify(&shop, &clients, there, kill % 20 == 19 || kill + 1 == kills, kill);
    }
    let saved: usize = clients.iter().map(|c| c.saved.len()).sum();
    let again: u64 = clients.iter().map(|c| c.again).sum();
    println!(
        "{kills} kills in {:.0?}, seed {SEED}: {saved} entries acknowledged, {again} answers lost",
        began.elapsed()
    );
    // Without these the kills would have missed what they are for.
    assert!(saved as u64 > 2 * kills, "only {saved} entries were acknowledged");
    assert!(again > kills, "only {again} answers were lost");

    // What was still open is sent once more; then everything is there exactly once.
    let server = Server::start(&shop);
    for client in &mut clients {
        if let Some((job, entry)) = client.open.take() {
            assert!(matches!(send(server.port, &job, &[entry]), Sent::Saved(_)));
        }
    }
    server.kill();
    let store = Store::open_existing(&shop).expect("the shop opens");
    let report = store.check().expect("the check goes through");
    assert!(report.is_clean(), "{report:?}");
    let made: u64 = clients.iter().map(|c| c.made).sum();
    assert_eq!(report.entries as u64, made + 2 * kills.div_ceil(IN_ONE_JOB));
}

/// Looks at the shop as the kill left it; how many entries there are.
fn verify(shop: &Path, clients: &[Client], before: usize, whole: bool, kill: u64) -> usize {
    let place = format!("kill {kill}, seed {SEED}");
    let store = Store::open(shop).expect("the shop opens after a kill");
    if whole {
        let report = store.check().expect("the check goes through");
        assert!(report.is_clean() && report.temporaries.is_empty(), "{report:?}: {place}");
    }
    let mut by_id: BTreeMap<String, (String, i64)> = BTreeMap::new();
    let all = store.entries_since(0, usize::MAX).expect("the entries are read");
    for entry in &all {
        let twice = by_id.insert(entry.id.clone(), (entry.job.clone(), entry.number));
        assert!(twice.is_none(), "{} is there twice: {place}", entry.id);
    }
    for client in clients {
        for (id, saved) in &client.saved {
            assert_eq!(by_id.get(id), Some(saved), "an acknowledged entry is gone or moved: {place}");
        }
    }
    assert!(all.len() >= before, "{place}");
    all.len()
}
