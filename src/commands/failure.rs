//! What can go wrong outside the worksheets: files, folders and arguments.

use std::io;
use std::path::PathBuf;

/// Why a file could not be read or written, or an argument made no sense.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A file or folder that cannot be read.
    #[error("cannot read {}: {}", path.display(), plain(cause))]
    Read {
        /// What was to be read.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// A file or folder that cannot be written.
    #[error("cannot write {}: {}", path.display(), plain(cause))]
    Write {
        /// What was to be written.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// Arguments that do not go together.
    #[error("{0}")]
    Usage(String),
    /// Standard output that cannot be written.
    #[error("cannot write to standard output: {}", plain(.0))]
    Output(io::Error),
    /// An editor that cannot be understood, or does not listen any more.
    #[error("the conversation with the editor broke off: {}", plain(.0))]
    Conversation(io::Error),
}

impl Failure {
    /// Whether the reader of standard output has gone away, which is no mistake of anyone.
    pub fn is_broken_pipe(&self) -> bool {
        matches!(self, Self::Output(cause) if cause.kind() == io::ErrorKind::BrokenPipe)
    }
}

/// The system's sentence without its number.
pub fn plain(cause: &io::Error) -> String {
    let text = cause.to_string();
    match text.split_once(" (os error") {
        Some((sentence, _)) => sentence.to_lowercase(),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_name_the_file_and_leave_out_error_numbers() {
        let failure = Failure::Read {
            path: "bend.md".into(),
            cause: io::Error::from_raw_os_error(2),
        };
        assert_eq!(
            failure.to_string(),
            "cannot read bend.md: no such file or directory"
        );
    }

    #[test]
    fn only_a_reader_that_went_away_is_a_broken_pipe() {
        let broken = || io::Error::from(io::ErrorKind::BrokenPipe);
        assert!(Failure::Output(broken()).is_broken_pipe());
        let path = PathBuf::from("pipe");
        assert!(
            !Failure::Write {
                path,
                cause: broken()
            }
            .is_broken_pipe()
        );
    }
}
