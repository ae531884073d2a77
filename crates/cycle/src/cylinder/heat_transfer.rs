//! Heat from the gas to the walls of the cylinder.
//!
//! Two published forms for the coefficient, W/(m²·K), both with constants quoted from memory of the papers:
//!
//! | model | when |
//! |---|---|
//! | Woschni, SAE 670931 (1967) | the usual one; gas speed of its own while burning |
//! | Hohenberg, SAE 790825 (1979) | simpler, less near top dead centre, more on the way down |
//!
//! Woschni is taken in the form 130 · B^−0.2 · p^0.8 · T^−0.53 · w^0.8 (bar, m, K, m/s). A textbook prints −0.55 with the
//! same leading constant, which gives 11 to 15 % less. Left out: radiation of its own, swirl, and warmer walls at load.

use crate::lane::Lane;

/// Which form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HeatModel {
    /// Woschni 1967.
    #[default]
    Woschni,
    /// Hohenberg 1979.
    Hohenberg,
    /// None: for checks against closed forms.
    Adiabatic,
}

/// Gas speed constants of Woschni: gas exchange, valves shut, and burning in m/(s·K).
pub const C1_EXCHANGE: f64 = 6.18;
/// See [`C1_EXCHANGE`].
pub const C1_CLOSED: f64 = 2.28;
/// See [`C1_EXCHANGE`].
pub const C2_BURNING: f64 = 3.24e-3;

/// Woschni: from bore (m), logarithm of pressure (Pa), temperature (K) and gas speed (m/s).
#[inline(always)]
pub fn woschni<L: Lane>(bore_m: L, ln_p: L, t_k: L, w_m_s: L) -> L {
    let ln_bar = ln_p - L::splat(1e5f64.ln());
    let (bore, p, t) = (L::splat(-0.2) * bore_m.ln(), L::splat(0.8) * ln_bar, L::splat(-0.53) * t_k.ln());
    L::splat(130.0) * (bore + p + t + L::splat(0.8) * w_m_s.ln()).exp()
}

/// Hohenberg: from volume (m³), logarithm of pressure (Pa), temperature (K) and mean piston speed (m/s).
#[inline(always)]
pub fn hohenberg<L: Lane>(v_m3: L, ln_p: L, t_k: L, piston_m_s: L) -> L {
    let ln_bar = ln_p - L::splat(1e5f64.ln());
    let (v, p, t) = (L::splat(-0.06) * v_m3.ln(), L::splat(0.8) * ln_bar, L::splat(-0.4) * t_k.ln());
    L::splat(130.0) * (v + p + t + L::splat(0.8) * (piston_m_s + L::splat(1.4)).ln()).exp()
}
