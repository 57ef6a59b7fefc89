//! Draws of a plan's inputs: what is not known of this build, one value a draw for life.
//!
//! A draw of an input is a function of (seed, path, draw number) and of nothing else: the radical inverse in base
//! two, Owen-scrambled by a hash keyed with seed and path, the draw number shuffled by the same kind of hash. So every
//! power-of-two prefix of each input is stratified, a new input moves no other, and the thread count cannot matter.
//!
//! Source: A. B. Owen, "Randomly permuted (t,m,s)-nets and (t,s)-sequences", 1995, for the scrambling; the hash that
//! does it in a few operations follows the idea of S. Laine and T. Karras, "Stratified sampling for stochastic
//! transparency", 2011 (nested uniform scrambling of reversed bits); constants of our own.

/// The uniform numbers of one input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    shuffle: u32,
    scramble: u32,
}

impl Column {
    /// The column of an input under a seed.
    pub fn new(seed: u64, path: &str) -> Self {
        // FNV-1a over the path, then mixed with the seed: the path's name is its identity.
        let mut hash = 0xcbf2_9ce4_8422_2325_u64;
        for byte in path.bytes() {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        let key = models::luck::mix(seed, hash);
        Self { shuffle: (key >> 32) as u32, scramble: key as u32 }
    }

    /// Draw `index` of this input, inside 0..1 and never at its ends.
    pub fn u(self, index: u32) -> f64 {
        // A shuffle that keeps each prefix of 2^k draws together leaves them one in each of 2^k strata.
        let inverse = shuffled(index, self.shuffle).reverse_bits();
        let bits = nested(inverse.reverse_bits(), self.scramble).reverse_bits();
        (f64::from(bits) + 0.5) / 4_294_967_296.0
    }
}

/// A keyed permutation of the indices that maps 0 .. 2^k to itself for every k: the numbers with the same highest
/// bit change places among themselves.
fn shuffled(index: u32, key: u32) -> u32 {
    let Some(octave) = index.checked_ilog2() else { return index };
    if octave == 0 {
        return index;
    }
    let mask = (1_u32 << octave) - 1;
    let mut low = index & mask;
    let mut key = key ^ octave.wrapping_mul(0x9e37_79b9);
    // An odd factor, a sum and an exclusive-or with one's own upper half are each one to one on `octave` bits.
    for _ in 0..4 {
        key = key.wrapping_mul(0x2c1b_3c6d).rotate_left(13) ^ 0x297a_2d39;
        low = low.wrapping_mul(key | 1).wrapping_add(key >> 7) & mask;
        low ^= low >> octave.div_ceil(2);
    }
    index & !mask | low
}

/// A keyed permutation of 32 bits in which each bit depends on itself and on lower bits only.
///
/// Adding, multiplying by an odd number, and mixing in an even multiple all carry upwards only, so the low k bits of
/// the result are a permutation of the low k bits of the argument, whatever k.
fn nested(bits: u32, key: u32) -> u32 {
    const EVEN: [u32; 4] = [0x5a8b_92e6, 0xd1c4_63b2, 0x94f6_0d9a, 0x7e35_b84c];
    let (mut bits, mut key) = (bits, key);
    for multiplier in EVEN {
        bits = bits.wrapping_add(key).wrapping_mul(key | 1);
        bits ^= bits.wrapping_mul(multiplier);
        key = key.rotate_left(11) ^ multiplier;
    }
    bits
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(index: usize, draws: u32) -> Vec<f64> {
        let column = Column::new(7, &format!("input.{index}"));
        (0..draws).map(|draw| column.u(draw)).collect()
    }

    #[test]
    fn every_power_of_two_prefix_is_one_in_each_stratum() {
        for index in 0..45 {
            for draws in [64_u32, 256, 2048] {
                let mut strata = vec![0; draws as usize];
                for u in column(index, draws) {
                    strata[(u * f64::from(draws)) as usize] += 1;
                }
                assert!(strata.iter().all(|&count| count == 1), "column {index}, {draws} draws");
            }
        }
    }

    #[test]
    fn columns_are_hardly_correlated() {
        let columns: Vec<Vec<f64>> = (0..45).map(|index| column(index, 2048)).collect();
        let mut largest = 0.0_f64;
        for a in 0..45 {
            for b in 0..a {
                // Uniform columns have mean 1/2 and variance 1/12.
                let sum: f64 = columns[a].iter().zip(&columns[b]).map(|(x, y)| (x - 0.5) * (y - 0.5)).sum();
                largest = largest.max((sum / 2048.0 * 12.0).abs());
            }
        }
        // 990 pairs of 2,048 independent draws: sd 1/sqrt(2048) = 0.022, the largest about 3.3 sd = 0.073. Scrambled
        // digital sequences may do worse in a pair; 0.12 keeps a spurious share of variance below 1.5 %.
        assert!(largest < 0.12, "largest correlation {largest}");
    }

    #[test]
    fn seed_and_path_decide() {
        assert_ne!(Column::new(1, "a.b"), Column::new(2, "a.b"));
        assert_ne!(Column::new(1, "a.b"), Column::new(1, "a.c"));
        assert_eq!(Column::new(1, "a.b").u(5), Column::new(1, "a.b").u(5));
    }
}
