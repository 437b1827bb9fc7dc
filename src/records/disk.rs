//! A file on the disk: opened without waiting for anything, and what tells it from another one.
//!
//! [`Digest`] is of a content; [`Fingerprint`] is how a file was when it was read or written here. Equal times are
//! never taken for equal files: only where much is read again and again ([`Fingerprint::is_surely`]) do the marks of the
//! file system stand for the content, and only marks that no program can set.

use std::fmt::{self, Display};
use std::fs::{self, File, Metadata};
use std::io::{self, Read as _, Write};
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

/// SHA-256 of a content (FIPS 180-4). Written in 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Digest([u8; 32]);

impl Digest {
    /// Of bytes.
    pub fn of(bytes: impl AsRef<[u8]>) -> Self {
        Self(Sha256::digest(bytes).into())
    }
}

impl Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

impl From<Digest> for String {
    fn from(digest: Digest) -> Self {
        digest.to_string()
    }
}

impl TryFrom<String> for Digest {
    type Error = &'static str;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        let mut bytes = [0; 32];
        let pairs = text.as_bytes().chunks(2);
        if text.len() != 64 || !text.bytes().all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f')) {
            return Err("a digest is 64 lower-case hexadecimal digits");
        }
        for (byte, pair) in bytes.iter_mut().zip(pairs) {
            let digits = std::str::from_utf8(pair).unwrap_or_default();
            *byte = u8::from_str_radix(digits, 16).unwrap_or_default();
        }
        Ok(Self(bytes))
    }
}

/// Works a digest out of what is written through it.
pub struct Digesting<W> {
    inner: W,
    so_far: Sha256,
}

impl<W> Digesting<W> {
    /// Over a writer.
    pub fn new(inner: W) -> Self {
        Self { inner, so_far: Sha256::new() }
    }

    /// The digest of everything that was written so far.
    pub fn digest(&self) -> Digest {
        Digest(self.so_far.clone().finalize().into())
    }

    /// The writer under it.
    pub fn inner(&mut self) -> &mut W {
        &mut self.inner
    }
}

impl<W: Write> Write for Digesting<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.inner.write(bytes)?;
        self.so_far.update(bytes.get(..written).unwrap_or(bytes));
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

/// The marks that a file system keeps of a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
struct Marks {
    size: u64,
    /// When its content was changed, as said, in nanoseconds since 1970: any program can set it.
    modified: u64,
    /// When anything of it was changed, in nanoseconds since 1970: no program can set it. 0: not known.
    changed: u64,
    /// Which file of the disk it is. 0: not known.
    number: u64,
}

/// A change this shortly before reading might be followed by another one that leaves the same marks.
const TOO_FRESH: Duration = Duration::from_secs(2);

impl Marks {
    fn of(about: &Metadata) -> Self {
        #[cfg(unix)]
        let (changed, number) = {
            use std::os::unix::fs::MetadataExt as _;
            let changed = i128::from(about.ctime()) * 1_000_000_000 + i128::from(about.ctime_nsec());
            (u64::try_from(changed).unwrap_or(0), about.ino())
        };
        #[cfg(not(unix))]
        let (changed, number) = (0, 0);
        let modified = about.modified().map_or(0, since_1970);
        Self { size: about.len(), modified, changed, number }
    }

    fn is_settled(&self) -> bool {
        let fresh = u64::try_from(TOO_FRESH.as_nanos()).unwrap_or(u64::MAX);
        self.modified.max(self.changed).saturating_add(fresh) < since_1970(SystemTime::now())
    }
}

fn since_1970(time: SystemTime) -> u64 {
    time.duration_since(UNIX_EPOCH).map_or(0, |since| u64::try_from(since.as_nanos()).unwrap_or(u64::MAX))
}

/// How a file was when it was read or written here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fingerprint {
    digest: Digest,
    marks: Marks,
    /// The last change was long enough ago for another one to leave other marks.
    settled: bool,
}

impl Fingerprint {
    /// Of a file that holds `content`, by its marks from before the content was read, or after it was written.
    pub fn new(content: Digest, about: &Metadata) -> Self {
        let marks = Marks::of(about);
        Self { digest: content, marks, settled: marks.is_settled() }
    }

    /// Of a file as it is; `None` if it cannot be read.
    pub fn of(path: &Path) -> Option<Self> {
        let file = open_regular(path).ok()?;
        let about = file.metadata().ok()?;
        Some(Self::new(digest_of(file).ok()?, &about))
    }

    /// The digest of its content.
    pub fn digest(&self) -> Digest {
        self.digest
    }

    /// Is the file the same one with the same content, told by the file system without reading it?
    ///
    /// `false` where that cannot be told. Only for what is read again and again and never written, such as an index.
    pub fn is_surely(&self, path: &Path) -> bool {
        self.settled
            && fs::metadata(path).is_ok_and(|about| about.is_file() && Marks::of(&about) == self.marks)
    }
}

/// The digest of everything that can still be read.
///
/// # Errors
/// If it cannot be read.
pub fn digest_of(mut content: impl io::Read) -> io::Result<Digest> {
    let mut digesting = Digesting::new(io::sink());
    io::copy(&mut content, &mut digesting)?;
    Ok(digesting.digest())
}

/// Opens a regular file for reading. A pipe, a socket, a device or a folder is refused, and never waited for.
///
/// # Errors
/// If it is none, or cannot be opened.
pub fn open_regular(path: &Path) -> io::Result<File> {
    // Asked first, because opening a device may already do something.
    if !fs::metadata(path)?.is_file() {
        return Err(not_regular());
    }
    let mut options = File::options();
    options.read(true);
    never_waiting(&mut options);
    let file = options.open(path)?;
    // Something else may have taken its place.
    if file.metadata()?.is_file() { Ok(file) } else { Err(not_regular()) }
}

/// Reads a regular file that has at most so many bytes.
///
/// # Errors
/// If it is none, has more, or cannot be read.
pub fn read_regular(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    open_regular(path)?.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most { Err(io::ErrorKind::FileTooLarge.into()) } else { Ok(bytes) }
}

/// What something that is no regular file is, with its article.
pub fn kind_in_words(about: &Metadata) -> &'static str {
    let kind = about.file_type();
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt as _;
        if kind.is_fifo() {
            return "a pipe";
        }
        if kind.is_socket() {
            return "a socket";
        }
        if kind.is_char_device() || kind.is_block_device() {
            return "a device";
        }
    }
    if kind.is_dir() { "a folder" } else { "no regular file" }
}

/// Opening a pipe would wait for whoever has its other end.
pub(crate) fn never_waiting(options: &mut fs::OpenOptions) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.custom_flags(rustix::fs::OFlags::NONBLOCK.bits().cast_signed());
    }
    #[cfg(not(unix))]
    let _ = options;
}

/// Is an open file still the one of this name?
pub(crate) fn is_still(file: &File, path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        match (file.metadata(), fs::symlink_metadata(path)) {
            (Ok(open), Ok(named)) => (open.dev(), open.ino()) == (named.dev(), named.ino()),
            _ => false,
        }
    }
    #[cfg(not(unix))]
    {
        let _ = file;
        path.exists()
    }
}

fn not_regular() -> io::Error {
    io::Error::new(io::ErrorKind::InvalidInput, "it is no regular file")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The published example of FIPS 180-4: "abc".
    #[test]
    fn a_digest_is_the_published_one_and_is_read_as_it_is_written() {
        let digest = Digest::of("abc");
        let text = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(digest.to_string(), text);
        assert_eq!(Digest::try_from(text.to_owned()), Ok(digest));
        for bad in ["", "ba78", &text.to_uppercase(), &text.replace('b', "g"), &format!("{text}0")] {
            assert!(Digest::try_from(bad.to_owned()).is_err(), "{bad}");
        }
        let mut through = Digesting::new(Vec::new());
        through.write_all(b"a").and_then(|()| through.write_all(b"bc")).expect("written");
        assert_eq!(through.digest(), digest);
    }

    #[test]
    fn the_content_decides_and_not_the_time() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("engine.ron");
        fs::write(&path, b"first").expect("written");
        let digest = || Fingerprint::of(&path).map(|print| print.digest());
        let first = digest().expect("read");
        assert_eq!(first, Digest::of("first"));
        let time = fs::metadata(&path).and_then(|about| about.modified()).expect("a time");
        let set = |time| File::options().write(true).open(&path).and_then(|file| file.set_modified(time));
        // Another content of the same size at the same time.
        fs::write(&path, b"other").expect("written");
        set(time).expect("set");
        assert_ne!(digest(), Some(first));
        // The same content at another time.
        fs::write(&path, b"first").expect("written");
        set(UNIX_EPOCH).expect("set");
        assert_eq!(digest(), Some(first));
        fs::remove_file(&path).expect("removed");
        assert_eq!(digest(), None);
        assert_eq!(Fingerprint::of(folder.path()), None, "a folder is no file");
    }

    /// What any program can set is not believed: neither the time nor the size tells two files apart.
    #[cfg(unix)]
    #[test]
    fn marks_that_can_be_set_are_not_believed() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("engine.ron");
        fs::write(&path, b"first").expect("written");
        let fresh = Fingerprint::of(&path).expect("read");
        assert!(!fresh.is_surely(&path), "it has just been written");
        // As it will be in two seconds.
        let old = Fingerprint { settled: true, ..fresh };
        assert!(old.is_surely(&path));
        let time = fs::metadata(&path).and_then(|about| about.modified()).expect("a time");
        let other = folder.path().join("other.ron");
        fs::write(&other, b"other").expect("written");
        File::options().write(true).open(&other).and_then(|file| file.set_modified(time)).expect("set");
        fs::rename(&other, &path).expect("put in its place");
        assert!(!old.is_surely(&path));
    }

    /// They would never end, or never begin.
    #[cfg(unix)]
    #[test]
    fn devices_and_pipes_are_not_read() {
        assert_eq!(Fingerprint::of(Path::new("/dev/zero")), None);
        let folder = tempfile::tempdir().expect("a folder");
        let pipe = folder.path().join("pipe");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status().expect("made");
        assert!(made.success());
        assert_eq!(Fingerprint::of(&pipe), None);
        assert!(read_regular(&pipe, 10).is_err());
        let file = folder.path().join("file");
        fs::write(&file, b"0123456789").expect("written");
        assert_eq!(read_regular(&file, 10).expect("read"), b"0123456789");
        assert_eq!(read_regular(&file, 9).expect_err("refused").kind(), io::ErrorKind::FileTooLarge);
    }
}
