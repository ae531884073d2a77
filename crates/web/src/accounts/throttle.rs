//! How often somebody may try a password.
//!
//! The rule. Every try is counted in up to two places, and each place has some free tries. After
//! them, a try is only looked at when some time has passed since the last one that was: 2 s, 4 s,
//! 8 s … and never more than 5 minutes. A place is forgotten an hour after the last counted try.
//!
//! | place | free tries |
//! | --- | --- |
//! | an address, whatever names are tried from it | 20 |
//! | a name, from all addresses where it never signed in before, together | 5 |
//! | a name, from an address where it signed in within the last 30 days | 5 |
//!
//! What follows from it: from outside, one account can be tried about 300 times a day, however many
//! addresses somebody has. And nobody can lock a person out: somebody who tries that person's name
//! over and over only fills the second place, while the tablet on which that person works has the
//! third one to itself. On the shop's own machine nobody else's tries count at all.
//!
//! A try that comes too early is not looked at and not counted, so that the wait does not grow by
//! itself. A try counts from its beginning, so that a hundred at once are a hundred. Signing in clears
//! the name's place, not the address's: otherwise one's own account would buy guesses at another's.
//!
//! Kept in memory: a restart forgets, and a restart needs somebody at the machine.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Free tries from one address.
pub(crate) const FREE_OF_ADDRESS: u32 = 20;
/// Free tries of one name.
pub(crate) const FREE_OF_NAME: u32 = 5;
/// Longest wait between two tries.
pub(crate) const LONGEST_WAIT: Duration = Duration::from_secs(300);
/// A place is forgotten so long after its last counted try.
const FORGET: Duration = Duration::from_secs(3600);
/// Most places remembered; then those that lie back furthest go.
const MOST: usize = 20_000;

/// Where tries are counted.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Place {
    Address(IpAddr),
    Name(String),
    NameAt(String, IpAddr),
}

#[derive(Debug, Clone, Copy)]
struct Count {
    tries: u32,
    last: Instant,
    /// A refusal has been told since the last counted try.
    told: bool,
}

/// A try is not looked at yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct TooSoon {
    /// How long to wait.
    pub(crate) wait: Duration,
    /// The first refusal since the last try that was looked at: one of many is enough for the books.
    pub(crate) first: bool,
}

/// A try that is being looked at.
#[derive(Debug)]
#[must_use]
pub(crate) struct Try {
    place_of_name: Place,
    place_of_address: Place,
}

/// The counts of this server.
#[derive(Debug, Default)]
pub(crate) struct Throttle(Mutex<HashMap<Place, Count>>);

impl Throttle {
    /// Begins a try of `name` from `address`. `known`: the name has signed in from there lately.
    pub(crate) fn begin(&self, name: &str, address: IpAddr, known: bool, now: Instant) -> Result<Try, TooSoon> {
        let address = network(address);
        let of_name = if known || address.is_loopback() {
            Place::NameAt(name.to_owned(), address)
        } else {
            Place::Name(name.to_owned())
        };
        let of_address = Place::Address(address);
        let places = [(&of_name, FREE_OF_NAME), (&of_address, FREE_OF_ADDRESS)];
        let mut counts = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut refused: Option<TooSoon> = None;
        for (place, free) in places {
            let Some(count) = counts.get_mut(place).filter(|count| now.duration_since(count.last) < FORGET) else {
                continue;
            };
            let wait = wait_after(count.tries, free).saturating_sub(now.duration_since(count.last));
            if !wait.is_zero() {
                let first = !std::mem::replace(&mut count.told, true);
                let longest = refused.map_or(wait, |r| r.wait.max(wait));
                refused = Some(TooSoon { wait: longest, first: first || refused.is_some_and(|r| r.first) });
            }
        }
        if let Some(refused) = refused {
            return Err(refused);
        }
        make_room(&mut counts, now);
        for (place, _) in places {
            let count = counts.entry(place.clone()).or_insert(Count { tries: 0, last: now, told: false });
            if now.duration_since(count.last) >= FORGET {
                count.tries = 0;
            }
            *count = Count { tries: count.tries.saturating_add(1), last: now, told: false };
        }
        Ok(Try { place_of_name: of_name, place_of_address: of_address })
    }

    /// The try could not be looked at after all, for no fault of its own: it is not counted.
    pub(crate) fn give_back(&self, tried: Try) {
        let mut counts = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        for place in [tried.place_of_name, tried.place_of_address] {
            if let Some(count) = counts.get_mut(&place) {
                count.tries = count.tries.saturating_sub(1);
            }
        }
    }

    /// The try was right: the name's place is free again.
    pub(crate) fn was_right(&self, tried: Try) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&tried.place_of_name);
    }
}

/// How long after the last counted try the next one is looked at.
fn wait_after(tries: u32, free: u32) -> Duration {
    match tries.checked_sub(free) {
        None => Duration::ZERO,
        Some(beyond) => LONGEST_WAIT.min(Duration::from_secs(2_u64.saturating_pow(beyond.saturating_add(1)))),
    }
}

/// Takes out what is forgotten, and if that is not enough the quarter that lies back furthest.
fn make_room(counts: &mut HashMap<Place, Count>, now: Instant) {
    if counts.len() + 2 <= MOST {
        return;
    }
    counts.retain(|_, count| now.duration_since(count.last) < FORGET);
    if counts.len() + 2 > MOST {
        let mut lasts: Vec<Instant> = counts.values().map(|count| count.last).collect();
        let (_, quarter, _) = lasts.select_nth_unstable(MOST / 4);
        let quarter = *quarter;
        counts.retain(|_, count| count.last > quarter);
    }
}

/// One household: an IPv4 address, or the upper 64 bits of an IPv6 one, which a machine chooses below freely.
pub(crate) fn network(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(v6) if !v6.is_loopback() => {
            let [a, b, c, d, ..] = v6.segments();
            IpAddr::V6(Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0))
        }
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> IpAddr {
        text.parse().unwrap()
    }

    /// Tries as fast as it is let for so long, and says how many were looked at.
    fn guesses(throttle: &Throttle, from: Instant, lasting: Duration, mut address: impl FnMut(u32) -> IpAddr) -> u32 {
        let (mut looked_at, mut now) = (0, from);
        while now.duration_since(from) < lasting {
            match throttle.begin("mara", address(looked_at), false, now) {
                Ok(_) => {
                    looked_at += 1;
                    assert!(looked_at < 10_000, "nothing slows the tries");
                }
                Err(refused) => now += refused.wait,
            }
        }
        looked_at
    }

    #[test]
    fn the_wait_doubles_after_the_free_tries_and_ends_at_five_minutes() {
        assert_eq!(wait_after(4, 5), Duration::ZERO);
        let waits: Vec<u64> = (5..14).map(|n| wait_after(n, 5).as_secs()).collect();
        assert_eq!(waits, [2, 4, 8, 16, 32, 64, 128, 256, 300]);
        assert_eq!(wait_after(u32::MAX, 5), LONGEST_WAIT);
    }

    #[test]
    fn a_day_of_guessing_from_anywhere_gives_about_three_hundred() {
        let day = Duration::from_secs(24 * 3600);
        let from_one = guesses(&Throttle::default(), Instant::now(), day, |_| at("192.0.2.7"));
        let from_many =
            guesses(&Throttle::default(), Instant::now(), day, |n| IpAddr::from([10, 0, (n >> 8) as u8, n as u8]));
        assert!((290..=305).contains(&from_one), "{from_one}");
        assert!((290..=305).contains(&from_many), "{from_many}");
    }

    #[test]
    fn somebody_elses_guesses_do_not_keep_a_person_out() {
        let (throttle, start) = (Throttle::default(), Instant::now());
        guesses(&throttle, start, Duration::from_secs(3000), |n| IpAddr::from([10, 0, 0, n as u8]));
        let now = start + Duration::from_secs(3000);
        assert!(throttle.begin("mara", at("10.0.9.9"), false, now).is_err(), "a place never seen before waits");
        assert!(throttle.begin("mara", at("10.0.1.2"), true, now).is_ok(), "her own tablet does not");
        assert!(throttle.begin("mara", at("127.0.0.1"), false, now).is_ok(), "nor does the shop's own machine");
        assert!(throttle.begin("ove", at("10.0.9.9"), false, now).is_ok(), "nor does another person");
    }

    #[test]
    fn many_names_from_one_address_wait_too() {
        let (throttle, now) = (Throttle::default(), Instant::now());
        for n in 0..FREE_OF_ADDRESS {
            assert!(throttle.begin(&format!("name {n}"), at("192.0.2.7"), false, now).is_ok());
        }
        let refused = throttle.begin("one more", at("192.0.2.7"), false, now).unwrap_err();
        assert_eq!(refused, TooSoon { wait: Duration::from_secs(2), first: true });
        assert!(!throttle.begin("one more", at("192.0.2.7"), false, now).unwrap_err().first);
        assert!(throttle.begin("one more", at("192.0.2.8"), false, now).is_ok());
    }

    #[test]
    fn a_right_try_frees_the_name_but_not_the_address() {
        let (throttle, now) = (Throttle::default(), Instant::now());
        for round in 0..4 {
            for _ in 0..FREE_OF_NAME - 1 {
                let _ = throttle.begin("mara", at("192.0.2.7"), false, now).unwrap();
            }
            let right = throttle.begin("mara", at("192.0.2.7"), false, now).unwrap();
            throttle.was_right(right);
            assert!(round < 4);
        }
        assert!(throttle.begin("mara", at("192.0.2.7"), false, now).is_err(), "twenty from this address");
        assert!(throttle.begin("mara", at("192.0.2.8"), false, now).is_ok(), "the name itself is free");
    }

    #[test]
    fn a_try_that_came_too_early_does_not_make_the_wait_longer() {
        let (throttle, now) = (Throttle::default(), Instant::now());
        for _ in 0..FREE_OF_NAME {
            let _ = throttle.begin("mara", at("192.0.2.7"), false, now).unwrap();
        }
        for _ in 0..50 {
            assert_eq!(throttle.begin("mara", at("192.0.2.7"), false, now).unwrap_err().wait, Duration::from_secs(2));
        }
        assert!(throttle.begin("mara", at("192.0.2.7"), false, now + Duration::from_secs(2)).is_ok());
    }

    #[test]
    fn a_try_that_nobody_could_look_at_is_not_counted() {
        let (throttle, now) = (Throttle::default(), Instant::now());
        for _ in 0..3 * FREE_OF_ADDRESS {
            let tried = throttle.begin("mara", at("192.0.2.7"), false, now).unwrap();
            throttle.give_back(tried);
        }
    }

    #[test]
    fn an_hour_of_quiet_is_forgotten() {
        let (throttle, now) = (Throttle::default(), Instant::now());
        for _ in 0..FREE_OF_NAME {
            let _ = throttle.begin("mara", at("192.0.2.7"), false, now).unwrap();
        }
        assert!(throttle.begin("mara", at("192.0.2.7"), false, now + Duration::from_secs(1)).is_err());
        let later = now + FORGET;
        for _ in 0..FREE_OF_NAME {
            assert!(throttle.begin("mara", at("192.0.2.7"), false, later).is_ok());
        }
    }

    #[test]
    fn the_memory_is_bounded() {
        let (throttle, start) = (Throttle::default(), Instant::now());
        for n in 0..30_000_u32 {
            let address = IpAddr::from(n.to_be_bytes());
            let _ = throttle.begin(&format!("n{n}"), address, false, start + Duration::from_millis(u64::from(n)));
        }
        assert!(throttle.0.lock().unwrap().len() <= MOST);
    }

    #[test]
    fn a_household_of_addresses_counts_as_one() {
        assert_eq!(network(at("2001:db8:1:2:3:4:5:6")), at("2001:db8:1:2::"));
        assert_eq!(network(at("::ffff:192.0.2.7")), at("192.0.2.7"));
        assert_eq!(network(at("::1")), at("::1"));
    }
}
