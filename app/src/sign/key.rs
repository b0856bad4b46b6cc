//! The tablet's own key: Ed25519 (RFC 8032), kept in the folder that the system gives to the program.

use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

use deadfront_rules::survey::KeySeal;
use directories::ProjectDirs;
use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};
use sha2::{Digest, Sha256};

use super::canonical::{hex, unhex};

const FILE: &str = "signing-key";

/// A key that stays on the tablet and says that a signature was made on it.
#[derive(Debug)]
pub struct TabletKey(SigningKey);

impl TabletKey {
    /// The folder in which this system keeps the program's data; `None` where it gives none.
    #[must_use]
    pub fn folder() -> Option<PathBuf> {
        ProjectDirs::from("", "", "deadfront").map(|folders| folders.data_local_dir().to_owned())
    }

    /// The key in a folder; a new one is made where there is none.
    ///
    /// # Errors
    /// When the folder cannot be written, the file is no key, or the system gives no randomness. An
    /// existing file is never replaced.
    pub fn open_or_make(folder: &Path) -> io::Result<Self> {
        match Self::open(folder) {
            Err(error) if error.kind() == ErrorKind::NotFound => Self::make(folder),
            opened => opened,
        }
    }

    /// The key in a folder.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when there is none, [`ErrorKind::InvalidData`] when the file is no key.
    pub fn open(folder: &Path) -> io::Result<Self> {
        let text = fs::read_to_string(folder.join(FILE))?;
        let secret = unhex::<32>(text.trim())
            .ok_or_else(|| io::Error::new(ErrorKind::InvalidData, "the file of the key holds no key"))?;
        Ok(Self(SigningKey::from_bytes(&secret)))
    }

    fn make(folder: &Path) -> io::Result<Self> {
        let mut secret = [0; 32];
        getrandom::fill(&mut secret).map_err(|error| io::Error::other(error.to_string()))?;
        fs::create_dir_all(folder)?;
        let mut file = tempfile::Builder::new().prefix(".key-").tempfile_in(folder)?;
        writeln!(file, "{}", hex(&secret))?;
        file.as_file().sync_all()?;
        // Only the owner may read it: that is how a temporary file begins. Another program that made
        // one in the same moment keeps its own.
        match file.persist_noclobber(folder.join(FILE)) {
            Ok(_) => Ok(Self(SigningKey::from_bytes(&secret))),
            Err(error) if error.error.kind() == ErrorKind::AlreadyExists => Self::open(folder),
            Err(error) => Err(error.error),
        }
    }

    /// Signs the seal of a signature.
    pub(super) fn sign(&self, seal: &[u8; 32]) -> KeySeal {
        KeySeal {
            public: hex(self.0.verifying_key().as_bytes()),
            signature: hex(&self.0.sign(seal).to_bytes()),
        }
    }

    /// The fingerprint of its public key, by which others know the tablet.
    #[must_use]
    pub fn fingerprint(&self) -> String {
        of_key(self.0.verifying_key().as_bytes())
    }
}

/// The fingerprint of the public key of a signature: SHA-256 of its 32 bytes, in hexadecimal.
#[must_use]
pub fn key_fingerprint(key: &KeySeal) -> Option<String> {
    unhex::<32>(&key.public).map(|public| of_key(&public))
}

fn of_key(public: &[u8; 32]) -> String {
    hex(&Sha256::digest(public))
}

/// Whether the key signed this seal. The strict rule: nothing that two readers could judge differently.
pub(super) fn holds(key: &KeySeal, seal: &[u8; 32]) -> bool {
    let read = || {
        let public = VerifyingKey::from_bytes(&unhex::<32>(&key.public)?).ok()?;
        let signature = Signature::from_bytes(&unhex::<64>(&key.signature)?);
        public.verify_strict(seal, &signature).ok()
    };
    read().is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_made_once_and_kept_for_its_owner() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path().join("new");
        assert_eq!(TabletKey::open(&folder).unwrap_err().kind(), ErrorKind::NotFound);
        let made = TabletKey::open_or_make(&folder).unwrap();
        let again = TabletKey::open_or_make(&folder).unwrap();
        assert_eq!(made.fingerprint(), again.fingerprint());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = fs::metadata(folder.join(FILE)).unwrap().permissions().mode();
            assert_eq!(mode & 0o077, 0, "{mode:o}");
        }
    }

    #[test]
    fn a_broken_key_file_is_not_replaced() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(FILE), "no key").unwrap();
        assert_eq!(TabletKey::open_or_make(folder.path()).unwrap_err().kind(), ErrorKind::InvalidData);
        assert_eq!(fs::read_to_string(folder.path().join(FILE)).unwrap(), "no key");
    }

    /// RFC 8032, 7.1, test 3: secret, public key, message of two bytes, signature.
    #[test]
    fn the_signature_is_that_of_the_rfc() {
        let secret = unhex("c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7").unwrap();
        let key = SigningKey::from_bytes(&secret);
        let public = "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025";
        assert_eq!(hex(key.verifying_key().as_bytes()), public);
        let wanted = "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac\
                      18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a";
        assert_eq!(hex(&key.sign(&[0xaf, 0x82]).to_bytes()), wanted);
    }

    #[test]
    fn only_the_sealed_bytes_hold() {
        let key = TabletKey(SigningKey::from_bytes(&[7; 32]));
        let mut sealed = key.sign(&[1; 32]);
        assert!(holds(&sealed, &[1; 32]));
        assert!(!holds(&sealed, &[2; 32]));
        assert_eq!(key_fingerprint(&sealed), Some(key.fingerprint()));
        sealed.public = sealed.public.to_uppercase();
        assert!(!holds(&sealed, &[1; 32]));
        assert_eq!(key_fingerprint(&sealed), None);
    }
}
