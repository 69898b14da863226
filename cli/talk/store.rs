//! The survey file on disk: whole at every moment, and written by one session only.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A survey file held by this session.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    /// As it was named, for messages.
    name: String,
    /// What this session last read or wrote; `None` while the file is not there.
    last: Option<String>,
    lock: Option<(File, PathBuf)>,
}

/// Why a file cannot be kept.
#[derive(Debug)]
pub enum Fault {
    /// Another session has it.
    Taken,
    /// Something else wrote to it since this session did.
    Changed,
    /// The disk says no.
    Io(io::Error),
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Taken => f.write_str("another session is talking this survey through"),
            Self::Changed => f.write_str("something else has written to this file meanwhile"),
            Self::Io(e) => e.fmt(f),
        }
    }
}

impl Store {
    /// Takes hold of a file, which may not be there yet.
    ///
    /// # Errors
    /// Where another session holds it, or it cannot be read.
    pub fn open(path: &Path, limit: usize) -> Result<(Self, Option<String>), Fault> {
        let name = path.display().to_string();
        // A link is followed once, so that the file itself is replaced and not the link.
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let lock = lock(&path)?;
        // A session that was cut off while it wrote may have left its half behind.
        if lock.is_some() {
            let _ = fs::remove_file(beside(&path, "new"));
        }
        let last = match fs::metadata(&path) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => None,
            Err(e) => return Err(Fault::Io(e)),
            Ok(meta) if meta.len() > limit as u64 => {
                return Err(Fault::Io(io::Error::new(io::ErrorKind::FileTooLarge, "the file is too large for a survey")));
            }
            Ok(_) => Some(fs::read_to_string(&path).map_err(Fault::Io)?),
        };
        Ok((Self { path, name, last: last.clone(), lock }, last))
    }

    /// As it was named.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Whether the file is there, as far as this session knows.
    pub fn there(&self) -> bool {
        self.last.is_some()
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Replaces the file as a whole.
    ///
    /// The new text is written beside it, brought to the disk, and put in its place in one step: whoever looks, and
    /// whenever the machine stops, there is the old text or the new one.
    ///
    /// # Errors
    /// Where the file is not as this session left it, or the disk says no; the file is then as it was.
    pub fn save(&mut self, text: &str) -> Result<(), Fault> {
        if self.last.as_deref() == Some(text) {
            return Ok(());
        }
        if self.on_disk()? != self.last {
            return Err(Fault::Changed);
        }
        self.write(text).map_err(Fault::Io)?;
        self.last = Some(text.to_owned());
        Ok(())
    }

    /// The file as it is now; from here on that is what this session goes by.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn reload(&mut self) -> Result<Option<String>, Fault> {
        self.last = self.on_disk()?;
        Ok(self.last.clone())
    }

    fn on_disk(&self) -> Result<Option<String>, Fault> {
        match fs::read_to_string(&self.path) {
            Ok(text) => Ok(Some(text)),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(e) => Err(Fault::Io(e)),
        }
    }

    fn write(&self, text: &str) -> io::Result<()> {
        let folder = folder(&self.path);
        let beside = beside(&self.path, "new");
        let written = (|| {
            let mut file = File::create(&beside)?;
            if let Ok(meta) = fs::metadata(&self.path) {
                file.set_permissions(meta.permissions())?;
            }
            file.write_all(text.as_bytes())?;
            file.sync_all()?;
            fs::rename(&beside, &self.path)
        })();
        if written.is_err() {
            let _ = fs::remove_file(&beside);
        }
        written?;
        // The folder too, so that the new name is on disk; not every system can.
        if let Ok(folder) = File::open(folder) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

impl Drop for Store {
    fn drop(&mut self) {
        if let Some((file, path)) = self.lock.take() {
            // The name goes while the lock is still held: nobody else can hold it then.
            let _ = fs::remove_file(path);
            drop(file);
        }
    }
}

fn folder(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// `.name.ending` in the same folder.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    folder(path).join(format!(".{name}.{ending}"))
}

/// Locks a file beside the survey: it goes free by itself however the process ends.
fn lock(path: &Path) -> Result<Option<(File, PathBuf)>, Fault> {
    let name = beside(path, "talk");
    for _ in 0..100 {
        let file = OpenOptions::new().create(true).truncate(false).write(true).open(&name).map_err(Fault::Io)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(Fault::Taken),
            // A file system without locks: a change by somebody else is still noticed at every save.
            Err(TryLockError::Error(_)) => return Ok(None),
        }
        // The session before may have taken the name away between opening and locking.
        if same_file(&file, &name) {
            return Ok(Some((file, name)));
        }
    }
    Err(Fault::Taken)
}

#[cfg(unix)]
fn same_file(file: &File, name: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), fs::metadata(name)) {
        (Ok(a), Ok(b)) => a.ino() == b.ino() && a.dev() == b.dev(),
        _ => false,
    }
}

#[cfg(not(unix))]
fn same_file(_: &File, _: &Path) -> bool {
    true
}
