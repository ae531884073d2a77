//! The limiter: how steep a line may be drawn through a cell.

use crate::lane::Lane;

/// Monotonised-central slope from the difference to the cell before and to the cell after: the mean of the two, at
/// most twice the smaller, nothing at an extreme (van Leer 1977, from memory).
#[inline(always)]
pub fn monotonised_central<L: Lane>(before: L, after: L) -> L {
    let two = L::splat(2.0);
    let centre = L::splat(0.5) * (before + after);
    let low = two * before.min(after);
    let high = two * before.max(after);
    low.min(centre).max(L::zero()) + high.max(centre).min(L::zero())
}

#[cfg(test)]
mod tests {
    use super::monotonised_central as mc;

    #[test]
    fn the_limiter_is_the_textbook_one() {
        assert_eq!(mc(1.0, 1.0), 1.0);
        assert_eq!(mc(1.0, 2.0), 1.5);
        assert_eq!(mc(1.0, 9.0), 2.0);
        assert_eq!(mc(-1.0, -9.0), -2.0);
        assert_eq!(mc(-1.0, -2.0), -1.5);
        assert_eq!(mc(-1.0, 2.0), 0.0);
        assert_eq!(mc(3.0, -2.0), 0.0);
        assert_eq!(mc(0.0, 5.0), 0.0);
    }
}
