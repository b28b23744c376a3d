//! Bytes of a connection, each of which has to come or go in time.

use std::io::{self, ErrorKind, Read, Write};
use std::net::{Shutdown, TcpStream};
use std::time::{Duration, Instant};

/// How long it may take a browser to end a connection after its answer, and how much it may still
/// send: a connection that is closed before all was read takes its answer with it.
const LONGEST_END: Duration = Duration::from_secs(1);
const MOST_AFTER: u64 = 1024 * 1024;

/// A connection until some time: reading or writing after it fails.
pub(super) struct Wire<'s> {
    pub(super) stream: &'s TcpStream,
    pub(super) until: Instant,
}

impl Wire<'_> {
    /// Ends a connection on which everything was said.
    pub(super) fn end(mut self) {
        self.until = Instant::now() + LONGEST_END;
        // One that has ended already is at its end, too.
        if self.stream.shutdown(Shutdown::Write).is_ok() {
            let _ = io::copy(&mut self.take(MOST_AFTER), &mut io::sink());
        }
    }

    fn left(&self) -> io::Result<Duration> {
        let left = self.until.saturating_duration_since(Instant::now());
        let is_over = left.is_zero().then(|| io::Error::from(ErrorKind::TimedOut));
        is_over.map_or(Ok(left), Err)
    }
}

impl Read for Wire<'_> {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        self.stream.set_read_timeout(Some(self.left()?))?;
        self.stream.read(bytes)
    }
}

impl Write for Wire<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.stream.set_write_timeout(Some(self.left()?))?;
        self.stream.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.stream.flush()
    }
}
