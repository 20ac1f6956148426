//! A fingerprint of a question, to tell whether two runs ask the same.

/// FNV-1a with 64 bits: Fowler, Noll and Vo, <http://www.isthe.com/chongo/tech/comp/fnv/> (constants from
/// memory; a test holds published values). Not against ill will, only against mistakes.
#[derive(Debug, Clone, Copy)]
pub struct Fingerprint(u64);

const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;

impl Default for Fingerprint {
    fn default() -> Self {
        Fingerprint(BASIS)
    }
}

impl Fingerprint {
    /// Adds a text, and that it ended here.
    pub fn add(&mut self, text: &str) {
        self.bytes(text.as_bytes());
        // No byte of UTF-8.
        self.bytes(&[0xff]);
    }

    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(PRIME);
        }
    }

    /// Sixteen hexadecimal digits.
    #[must_use]
    pub fn text(self) -> String {
        format!("{:016x}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Fingerprint;

    #[test]
    fn published_values() {
        // The test vectors of FNV-1a for "", "a" and "foobar", from memory.
        for (text, print) in [
            ("", "cbf29ce484222325"),
            ("a", "af63dc4c8601ec8c"),
            ("foobar", "85944171f73967e8"),
        ] {
            let mut found = Fingerprint::default();
            found.bytes(text.as_bytes());
            assert_eq!(found.text(), print);
        }
    }
}
