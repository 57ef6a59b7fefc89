//! Changed copies of an input, from a seeded generator: same seed, same copies, on every machine.
//!
//! Knows nothing of grammars. Besides bits and bytes it changes what breaks readers of text: numbers too large, brackets
//! opened a thousand times, a line end of another system, a byte that is no UTF-8.

/// Longest changed copy, in bytes, so that a search spends its time on many inputs rather than long ones.
const LENGTH_MAX: usize = 64 * 1024;

/// What gets put into an input whole.
const PIECES: &[&[u8]] = &[
    b"\r\n",
    b"\r",
    b"\xef\xbb\xbf",
    b"\xff\xfe",
    b"\xc3\x28",
    b"\0",
    b"nan",
    b"inf",
    b"-0",
    b"1e999",
    b"-1e-999",
    b"99999999999999999999999999",
    b"9223372036854775808",
    b"0x",
    b"\xc2\xb1",
    b"+-",
    b" .. ",
    b"%",
    b"\xc2\xb5",
    b"\xe2\x88\x92",
    b"\"\"\"",
    b"'",
    b"[[",
    b"]]",
    b"{",
    b"}",
    b"#",
    b"=",
    b".",
    b",",
    b"\t",
    b"|",
    b"/*",
    b"*/",
    b"\\\n",
    b"-->",
];

/// An endless source of changes.
#[derive(Clone, Debug)]
pub struct Changes(u64);

impl Changes {
    /// A source that depends on `seed` alone.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number: SplitMix64 (Steele, Lea and Flood, OOPSLA 2014, figure 17; from memory).
    pub fn next_u64(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `bound`, or 0 where the bound is 0.
    pub fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.next_u64() >> 32).unwrap_or(0).checked_rem(bound).unwrap_or(0)
    }

    /// A copy of `input` with one to eight changes; `other` lends pieces.
    pub fn changed(&mut self, input: &[u8], other: &[u8]) -> Vec<u8> {
        let mut bytes = input.to_vec();
        for _ in 0..=self.below(8) {
            self.change(&mut bytes, other);
        }
        bytes.truncate(LENGTH_MAX);
        bytes
    }

    fn change(&mut self, bytes: &mut Vec<u8>, other: &[u8]) {
        let at = self.below(bytes.len() + 1);
        let end = at + self.below((bytes.len() - at).min(64) + 1);
        match self.below(9) {
            0 => bytes.truncate(at),
            1 => drop(bytes.drain(at..end)),
            2 => {
                let piece = PIECES[self.below(PIECES.len())];
                drop(bytes.splice(at..at, piece.iter().copied()));
            }
            3 => {
                let piece = PIECES[self.below(PIECES.len())];
                drop(bytes.splice(at..end, piece.iter().copied()));
            }
            // Deep nesting and endless lines come from one piece many times.
            4 => {
                let piece = if at < end { bytes[at..end].to_vec() } else { vec![b'['] };
                let count = 1 << self.below(11);
                drop(bytes.splice(at..at, piece.repeat(count.min(LENGTH_MAX / piece.len()))));
            }
            5 => {
                let from = self.below(other.len() + 1);
                let to = from + self.below((other.len() - from).min(256) + 1);
                drop(bytes.splice(at..end, other[from..to].iter().copied()));
            }
            6 => {
                if let Some(byte) = bytes.get_mut(at) {
                    *byte ^= 1 << self.below(8);
                }
            }
            7 => {
                let digit = b'0' + u8::try_from(self.below(10)).unwrap_or(0);
                bytes.insert(at, digit);
            }
            _ => {
                if let Some(byte) = bytes.get_mut(at) {
                    *byte = self.next_u64().to_le_bytes()[0];
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn first_numbers_are_the_published_ones() {
        // Test vector of the reference implementation for seed 1234567 (Vigna, splitmix64.c; from memory).
        let mut changes = Changes::new(1_234_567);
        assert_eq!(changes.next_u64(), 6_457_827_717_110_365_317);
        assert_eq!(changes.next_u64(), 3_203_168_211_198_807_973);
    }

    #[test]
    fn same_seed_same_copies_and_none_too_long() {
        let copies = |seed| {
            let mut changes = Changes::new(seed);
            (0..500).map(|_| changes.changed(b"a = 1 V", b"[b]\n")).collect::<Vec<_>>()
        };
        assert_eq!(copies(3), copies(3));
        assert_ne!(copies(3), copies(4));
        assert!(copies(5).iter().all(|copy| copy.len() <= LENGTH_MAX));
    }
}
