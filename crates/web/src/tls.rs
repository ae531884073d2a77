//! Encryption towards other machines: the shop's own certificate, or one that is made at the first start.
//!
//! ```text
//! shop/tls/20260408T143200Z/
//!   certificate.pem   the server's certificate, then the authority that signed it
//!   authority.pem     the authority alone, for tablets that are to trust it
//!   key.pem           the server's private key, readable by its owner only
//!   about.json        names, when it was made, until when it holds
//! ```
//!
//! The newest folder counts; a new certificate is a new folder, and nothing is overwritten. The
//! authority exists to sign this one certificate: its key is never written and gone a moment later,
//! and it may speak for the names of this machine alone. So a tablet that trusts it trusts this shop
//! and nothing else, whatever is stolen from the folder.
//!
//! A certificate holds for 820 days: browsers of one kind refuse more than 825 (from memory). When it
//! has ended a new one is made at the start, and the fingerprint has to be compared again.

use axum_server::tls_rustls::RustlsConfig;
use jiff::{Timestamp, ToSpan, tz::TimeZone};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use rustls_pki_types::CertificateDer;
use rustls_pki_types::pem::PemObject;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Days for which a certificate of ours holds.
const DAYS: i64 = 820;
/// Days before its end from which a start says so.
const WARN_DAYS: i64 = 30;

/// Where the certificate comes from.
#[derive(Debug, Clone)]
pub enum Certificate {
    /// The shop's own files, PEM.
    Own {
        /// The certificate, and those of its authorities after it.
        certificate: PathBuf,
        /// Its private key.
        key: PathBuf,
    },
    /// Made by this program and kept in the shop's folder.
    SelfMade {
        /// Make another one now.
        anew: bool,
    },
}

/// Why there is no encryption.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TlsError {
    /// A file could not be read or written.
    #[error("{} could not be {doing} ({source}); nothing was opened\n  go on    check the name, the owner and the rights of the file", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
        /// The system's reason.
        source: std::io::Error,
    },
    /// Certificate and key cannot be used.
    #[error("{} and its key cannot be used ({why}); nothing was opened\n  go on    give a PEM certificate and the PEM private key that belongs to it", path.display())]
    NotUsable {
        /// The certificate.
        path: PathBuf,
        /// Why.
        why: String,
    },
    /// The certificate could not be made.
    #[error("no certificate could be made ({why}); nothing was opened")]
    NotMade {
        /// Why.
        why: String,
    },
}

/// Ready to encrypt.
pub(crate) struct Tls {
    pub(crate) config: RustlsConfig,
    /// SHA-256 of the server's certificate, as browsers show it.
    pub(crate) fingerprint: String,
    /// The authority of a certificate that was made here, PEM.
    pub(crate) authority: Option<PathBuf>,
    /// What the person who starts the server should know.
    pub(crate) notes: Vec<String>,
}

/// Beside a certificate of ours: what it says.
#[derive(Debug, Serialize, Deserialize)]
struct About {
    names: Vec<String>,
    made: Timestamp,
    until: Timestamp,
}

/// Gets the certificate ready. `names` are what the machine is called now.
pub(crate) async fn ready(shop: &Path, choice: &Certificate, names: &[String]) -> Result<Tls, TlsError> {
    match choice {
        Certificate::Own { certificate, key } => {
            let mut tls = load(certificate, key).await?;
            if open_to_others(key) {
                tls.notes.push(format!("Others on this machine can read the key {}.", key.display()));
            }
            Ok(tls)
        }
        Certificate::SelfMade { anew } => {
            let folder = shop.join("tls");
            let (place, mut notes) = self_made(&folder, names, *anew)?;
            let mut tls = load(&place.join("certificate.pem"), &place.join("key.pem")).await?;
            tls.notes.append(&mut notes);
            tls.authority = Some(place.join("authority.pem"));
            Ok(tls)
        }
    }
}

async fn load(certificate: &Path, key: &Path) -> Result<Tls, TlsError> {
    let pem = read(certificate)?;
    let not = |why: String| TlsError::NotUsable { path: certificate.to_owned(), why };
    let first = CertificateDer::from_pem_slice(&pem).map_err(|e| not(e.to_string()))?;
    let fingerprint = fingerprint(&first);
    let config = RustlsConfig::from_pem(pem, read(key)?).await.map_err(|e| not(e.to_string()))?;
    Ok(Tls { config, fingerprint, authority: None, notes: Vec::new() })
}

/// SHA-256 over the DER form, as pairs of hexadecimal digits.
fn fingerprint(certificate: &[u8]) -> String {
    let pairs: Vec<String> = Sha256::digest(certificate).iter().map(|b| format!("{b:02X}")).collect();
    pairs.join(":")
}

/// The folder of the certificate in force, made if need be, and what should be known about it.
fn self_made(folder: &Path, names: &[String], anew: bool) -> Result<(PathBuf, Vec<String>), TlsError> {
    let mut notes = Vec::new();
    if let Some((place, about)) = newest(folder).filter(|_| !anew) {
        let now = Timestamp::now();
        let day = |at: Timestamp| at.to_zoned_datetime(TimeZone::system()).strftime("%-d %B %Y").to_string();
        if about.until > now {
            if now.checked_add((24 * WARN_DAYS).hours()).is_ok_and(|then| about.until < then) {
                notes.push(format!(
                    "Its certificate holds until {}; --new-certificate makes another.",
                    day(about.until)
                ));
            }
            let missing: Vec<_> = names.iter().filter(|name| !about.names.contains(name)).cloned().collect();
            if !missing.is_empty() {
                notes.push(format!(
                    "Its certificate does not name {}; browsers will say so. --new-certificate makes one that does.",
                    missing.join(", ")
                ));
            }
            if open_to_others(&place.join("key.pem")) {
                notes.push("Others on this machine could read the key of its certificate. --new-certificate makes another, with a key of its own.".to_owned());
            }
            return Ok((place, notes));
        }
        notes.push(format!(
            "The certificate before ended on {}. The new one has another fingerprint: compare it again.",
            day(about.until)
        ));
    }
    Ok((make(folder, names)?, notes))
}

/// The newest whole folder. Names are times, so that they sort.
fn newest(folder: &Path) -> Option<(PathBuf, About)> {
    let mut places: Vec<PathBuf> = std::fs::read_dir(folder).ok()?.filter_map(|e| Some(e.ok()?.path())).collect();
    places.sort();
    places.into_iter().rev().find_map(|place| {
        let about = std::fs::read(place.join("about.json")).ok()?;
        Some((place, serde_json::from_slice(&about).ok()?))
    })
}

/// Makes a certificate and lays it into the folder.
fn make(folder: &Path, names: &[String]) -> Result<PathBuf, TlsError> {
    let not = |why: rcgen::Error| TlsError::NotMade { why: why.to_string() };
    let now = Timestamp::now();
    let until = now.checked_add((24 * DAYS).hours()).map_err(|e| TlsError::NotMade { why: e.to_string() })?;
    let mut server = CertificateParams::new(names.to_vec()).map_err(not)?;
    let mut authority = CertificateParams::default();
    let midnight = |at: Timestamp| {
        let day = at.to_zoned_datetime(TimeZone::UTC).date();
        rcgen::date_time_ymd(day.year().into(), day.month().unsigned_abs(), day.day().unsigned_abs())
    };
    for (params, name) in
        [(&mut server, "Plateau, this shop"), (&mut authority, "Plateau, authority of this shop alone")]
    {
        params.distinguished_name = DistinguishedName::new();
        params.distinguished_name.push(DnType::CommonName, name);
        // A day of room for clocks that differ.
        params.not_before = midnight(now.checked_sub(24.hours()).unwrap_or(now));
        params.not_after = midnight(until);
    }
    server.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    server.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    server.use_authority_key_identifier_extension = true;
    authority.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    authority.key_usages = vec![KeyUsagePurpose::KeyCertSign];
    authority.name_constraints = Some(NameConstraints {
        permitted_subtrees: server.subject_alt_names.iter().filter_map(only_this).collect(),
        excluded_subtrees: Vec::new(),
    });
    let key = KeyPair::generate().map_err(not)?;
    let authority_key = KeyPair::generate().map_err(not)?;
    let authority_pem = authority.self_signed(&authority_key).map_err(not)?.pem();
    let issuer = Issuer::new(authority, authority_key);
    let server_pem = server.signed_by(&key, &issuer).map_err(not)?.pem();

    let about = About { names: names.to_vec(), made: now, until };
    let about = serde_json::to_vec_pretty(&about).map_err(|e| TlsError::NotMade { why: e.to_string() })?;
    let stamp = now.strftime("%Y%m%dT%H%M%S%3fZ").to_string();
    let (half, place) = (folder.join(format!(".{stamp}")), folder.join(&stamp));
    make_folder(folder)?;
    make_folder(&half)?;
    write_new(&half.join("key.pem"), key.serialize_pem().as_bytes(), true)?;
    write_new(&half.join("certificate.pem"), format!("{server_pem}{authority_pem}").as_bytes(), false)?;
    write_new(&half.join("authority.pem"), authority_pem.as_bytes(), false)?;
    write_new(&half.join("about.json"), &about, false)?;
    // Renamed when it is whole: a start that was cut short leaves nothing that counts.
    std::fs::rename(&half, &place).map_err(|source| TlsError::File {
        path: place.clone(),
        doing: "written",
        source,
    })?;
    Ok(place)
}

/// The constraint that fits one name or address and nothing else.
fn only_this(name: &SanType) -> Option<GeneralSubtree> {
    match name {
        SanType::DnsName(name) => Some(GeneralSubtree::DnsName(name.to_string())),
        SanType::IpAddress(address) => {
            let bits = if address.is_ipv4() { 32 } else { 128 };
            Some(GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(*address, bits)))
        }
        _ => None,
    }
}

fn read(path: &Path) -> Result<Vec<u8>, TlsError> {
    std::fs::read(path).map_err(|source| TlsError::File { path: path.to_owned(), doing: "read", source })
}

fn make_folder(path: &Path) -> Result<(), TlsError> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path).map_err(|source| TlsError::File { path: path.to_owned(), doing: "made", source })
}

/// Writes a file that must not be there yet; a secret one with rights for its owner only, from its first moment.
fn write_new(path: &Path, bytes: &[u8], secret: bool) -> Result<(), TlsError> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, if secret { 0o600 } else { 0o644 });
    #[cfg(not(unix))]
    let _ = secret;
    let write = || {
        let mut file = options.open(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(|source| TlsError::File { path: path.to_owned(), doing: "written", source })
}

/// Whether others than its owner can read a file; not known on systems without such rights.
fn open_to_others(path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::metadata(path).is_ok_and(|file| file.permissions().mode() & 0o077 != 0)
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(of: &[&str]) -> Vec<String> {
        of.iter().map(|name| (*name).to_owned()).collect()
    }

    #[test]
    fn a_certificate_is_made_once_and_used_again() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path().join("tls");
        let (first, notes) = self_made(&folder, &names(&["localhost", "192.0.2.7"]), false).unwrap();
        assert!(notes.is_empty(), "{notes:?}");
        let (again, notes) = self_made(&folder, &names(&["localhost", "192.0.2.7"]), false).unwrap();
        assert_eq!((&again, notes.len()), (&first, 0));
        let (moved, notes) = self_made(&folder, &names(&["localhost", "192.0.2.8"]), false).unwrap();
        assert_eq!(moved, first);
        assert!(notes[0].contains("does not name 192.0.2.8"), "{notes:?}");
        std::thread::sleep(std::time::Duration::from_millis(2));
        let (anew, _) = self_made(&folder, &names(&["localhost"]), true).unwrap();
        assert_ne!(anew, first);
        assert!(first.join("key.pem").is_file(), "the one before is not overwritten");
        assert_eq!(self_made(&folder, &names(&["localhost"]), false).unwrap().0, anew, "the newest counts");
    }

    #[test]
    fn a_certificate_that_ended_is_replaced_and_one_near_its_end_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path().join("tls");
        let (place, _) = self_made(&folder, &names(&["localhost"]), false).unwrap();
        let until = |hours: i64| {
            let until = Timestamp::now().checked_add(hours.hours()).unwrap();
            let about = About { names: names(&["localhost"]), made: until, until };
            std::fs::write(place.join("about.json"), serde_json::to_vec(&about).unwrap()).unwrap();
        };
        until(24 * 20);
        let (same, notes) = self_made(&folder, &names(&["localhost"]), false).unwrap();
        assert!(same == place && notes[0].contains("--new-certificate"), "{notes:?}");
        until(-1);
        let (new, notes) = self_made(&folder, &names(&["localhost"]), false).unwrap();
        assert!(new != place && notes[0].contains("compare it again"), "{notes:?}");
    }

    #[cfg(unix)]
    #[test]
    fn the_key_is_for_its_owner_alone() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let (place, _) = self_made(&folder.path().join("tls"), &names(&["localhost"]), false).unwrap();
        let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!((mode(&place.join("key.pem")), mode(&place)), (0o600, 0o700));
        std::fs::set_permissions(place.join("key.pem"), std::fs::Permissions::from_mode(0o644)).unwrap();
        let (_, notes) = self_made(&folder.path().join("tls"), &names(&["localhost"]), false).unwrap();
        assert!(notes[0].contains("could read the key"), "{notes:?}");
        for file in std::fs::read_dir(&place).unwrap() {
            let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
            assert!(text.matches("PRIVATE KEY").count() <= 2, "the authority's key is not kept");
        }
    }

    /// FIPS 180-4, the one-block message "abc".
    #[test]
    fn fingerprints_are_sha_256_in_pairs() {
        assert!(fingerprint(b"abc").starts_with("BA:78:16:BF:8F:01:CF:EA:41:41:40:DE"));
        assert_eq!(fingerprint(b"abc").len(), 95);
    }
}
