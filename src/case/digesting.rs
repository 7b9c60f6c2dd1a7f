//! The digest of what passes by, so that a file of any length is read once.

use super::line::Digest;
use sha2::{Digest as _, Sha256};
use std::io::{self, Read};

/// A reader that works out the SHA-256 of everything read through it.
pub struct Digesting<R> {
    from: R,
    so_far: Sha256,
}

impl<R: Read> Digesting<R> {
    /// Nothing read yet.
    pub fn new(from: R) -> Self {
        Self { from, so_far: Sha256::new() }
    }

    /// Reads whatever is left, and gives the digest of all of it in hexadecimal.
    ///
    /// # Errors
    /// Where the rest can't be read.
    pub fn finish(mut self) -> io::Result<String> {
        io::copy(&mut self, &mut io::sink())?;
        Ok(Digest(self.so_far.finalize().into()).to_string())
    }
}

impl<R: Read> Read for Digesting<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let n = self.from.read(into)?;
        self.so_far.update(&into[..n]);
        Ok(n)
    }
}

#[cfg(test)]
mod tests {
    use super::super::line::digest_of;
    use super::*;

    #[test]
    fn it_is_the_digest_of_the_whole_however_much_was_read() {
        let text = "Time,RPM\n".repeat(5_000);
        for read in [0, 1, 100, text.len()] {
            let mut through = Digesting::new(text.as_bytes());
            through.read_exact(&mut vec![0; read]).unwrap();
            assert_eq!(through.finish().unwrap(), digest_of(&text));
        }
    }
}
