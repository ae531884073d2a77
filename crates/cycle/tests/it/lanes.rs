//! Wide lanes give what single ones give.

use cycle::lane::{F32x8, F64x4, Lane, LaneMask};

fn formula<L: Lane>(x: L) -> L {
    let y = (x * L::splat(1.7) - L::splat(0.4)).abs().sqrt() + L::splat(0.1);
    let z = L::select(y.gt(L::one()), y.ln(), (-y).exp());
    z.powf(L::splat(0.0) + L::one()).min(y).max(x * L::splat(0.0)) + y.floor() / (y + L::one())
}

#[test]
fn lanes_do_not_mix_and_agree_with_plain_numbers() {
    let at = |i: usize| 0.37 + 0.61 * i as f64;
    let plain: Vec<f64> = (0..8).map(|i| formula(at(i))).collect();
    let four = formula(F64x4::from_fn(at));
    let eight = formula(F32x8::from_fn(at));
    for i in 0..4 {
        assert!((four.get(i) - plain[i]).abs() < 1e-13, "lane {i}: {} for {}", four.get(i), plain[i]);
    }
    for i in 0..8 {
        assert!((eight.get(i) - plain[i]).abs() < 1e-6, "lane {i}: {} for {}", eight.get(i), plain[i]);
        // alone in its register, a lane gives the same bits
        let alone = formula(F32x8::splat(at(i)));
        assert_eq!(alone.get(i).to_bits(), eight.get(i).to_bits());
    }
}

#[test]
fn what_is_no_number_is_seen() {
    let mut x = F64x4::one();
    x.set(2, f64::NAN);
    x.set(3, f64::INFINITY);
    let seen = x.finite();
    assert_eq!([0, 1, 2, 3].map(|i| seen.get(i)), [true, true, false, false]);
    assert!(!seen.all() && seen.any());
}
