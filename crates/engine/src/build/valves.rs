//! Valve gear of a build: ratio, lash, events at every check lift, lift curve, spring, mass.

use super::facts::{Facts, Lack};
use super::{CheckedAngle, Lobe};
use crate::cam::lift_card::{Follower, LiftCard, lift_curve_for};
use crate::cam::lift_table::{Ends, LiftTable, TableFit, fit};
use crate::cam::{CamError, CheckLift, LiftAt, LiftCurve, LobeEvents, Reference, Valve, ValveEvent};
use crate::valve_train::motion::{self, MovingParts};
use crate::valve_train::spring::Spring;

/// "intake" or "exhaust", as in the file.
pub(crate) fn side(valve: Valve) -> &'static str {
    match valve {
        Valve::Intake => "intake",
        Valve::Exhaust => "exhaust",
    }
}

impl Facts<'_> {
    pub(crate) fn side_value(&self, section: &str, valve: Valve, key: &str) -> Result<f64, Lack> {
        self.get(&format!("{section}.{}.{key}", side(valve)))
    }

    fn lobe(&self, valve: Valve) -> &Lobe {
        self.build().lobe.of(valve)
    }

    fn follower_is(&self, word: &str) -> bool {
        self.build().cam.follower.as_ref().is_some_and(|f| f.to_lowercase().contains(word))
    }

    /// Rocker ratio: as measured, else as printed with the spread of printed ratios, else 1 for buckets.
    ///
    /// # Errors
    /// [`Lack::Missing`] when neither is stated and the follower is no bucket.
    pub fn rocker_ratio(&self, valve: Valve) -> Result<f64, Lack> {
        let key = format!("lobe.{}.rocker_ratio", side(valve));
        if let Some(measured) = self.stated(&key) {
            return Ok(measured);
        }
        match self.stated(&format!("{key}_nominal")) {
            Some(printed) if self.follower_is("bucket") => Ok(printed),
            Some(printed) => Ok(printed * self.get("assumed.rocker_ratio_share")?),
            None if self.follower_is("bucket") => Ok(1.0),
            None => Err(Lack::missing(key)),
        }
    }

    /// Lash at the valve, m; none for a hydraulic follower.
    ///
    /// # Errors
    /// [`Lack::Missing`] for a solid follower without stated lash.
    pub fn lash_m(&self, valve: Valve) -> Result<f64, Lack> {
        let key = format!("lobe.{}.lash", side(valve));
        match self.stated(&key) {
            Some(lash) => Ok(lash),
            None if self.follower_is("hydraulic") => Ok(0.0),
            None => Err(Lack::missing(key)),
        }
    }

    /// Lobe lift, m: of a measured table the greatest lift of its curve, else as stated.
    ///
    /// # Errors
    /// [`Lack`] without either.
    pub fn lobe_lift_m(&self, valve: Valve) -> Result<f64, Lack> {
        if !self.lobe(valve).table_angle.is_empty() {
            return Ok(self.lift_curve(valve)?.lobe_lift_m());
        }
        self.side_value("lobe", valve, "lobe_lift")
    }

    /// Greatest valve lift, m.
    ///
    /// # Errors
    /// [`Lack`] without lobe lift, ratio or lash.
    pub fn valve_lift_m(&self, valve: Valve) -> Result<f64, Lack> {
        let (lobe_m, ratio, lash_m) = (self.lobe_lift_m(valve)?, self.rocker_ratio(valve)?, self.lash_m(valve)?);
        Ok(motion::valve_lift_m(lobe_m, ratio, lash_m)?)
    }

    /// Centreline as stated for the lobe, or from lobe separation and advance, crank degrees: after top dead
    /// centre for the intake, before it for the exhaust.
    fn stated_centreline_deg(&self, valve: Valve) -> Result<f64, Lack> {
        let key = format!("lobe.{}.centreline", side(valve));
        if let Some(stated) = self.stated(&key) {
            return Ok(stated.to_degrees());
        }
        let Some(separation) = self.stated("cam.lobe_separation") else { return Err(Lack::missing(key)) };
        let advance = self.get("cam.advance")?.to_degrees();
        Ok(match valve {
            Valve::Intake => separation.to_degrees() - advance,
            Valve::Exhaust => separation.to_degrees() + advance,
        })
    }

    fn checked_deg(&self, valve: Valve, list: &str, n: usize) -> Result<f64, Lack> {
        Ok(self.side_value("lobe", valve, &format!("{list}.{}", n + 1))?.to_degrees())
    }

    /// A check lift at the lifter.
    fn at_lifter(&self, valve: Valve, check: CheckLift) -> Result<CheckLift, Lack> {
        if check.at() == LiftAt::Lifter {
            return Ok(check);
        }
        let lift_m = motion::lobe_lift_m(check.lift_m(), self.rocker_ratio(valve)?, self.lash_m(valve)?)?;
        Ok(CheckLift::new(lift_m, LiftAt::Lifter)?)
    }

    /// Events at every check lift of the card, lowest first, as stated (a check at the valve stays one).
    ///
    /// # Errors
    /// [`Lack`] without any, and as [`LobeEvents::new`].
    pub fn card_events(&self, valve: Valve) -> Result<Vec<LobeEvents>, Lack> {
        let lobe = self.lobe(valve);
        let mut found: Vec<LobeEvents> = Vec::new();
        let event = |list: &str, n: usize, checked: &CheckedAngle| -> Result<ValveEvent, Lack> {
            let reference = checked.reference.unwrap_or(Reference::BeforeTop);
            Ok(ValveEvent::new(self.checked_deg(valve, list, n)?, reference)?)
        };
        for (n, opens) in lobe.opens.iter().enumerate() {
            let closes = lobe.closes.iter().enumerate().find(|(_, c)| c.check.same_as(opens.check));
            let Some((m, closes)) = closes else { continue };
            found.push(LobeEvents::new(valve, event("opens", n, opens)?, event("closes", m, closes)?, opens.check)?);
        }
        let from_events = found.last().map(LobeEvents::centreline_deg);
        for (n, duration) in lobe.duration.iter().enumerate() {
            if found.iter().any(|f| f.check().same_as(duration.check)) {
                continue;
            }
            let centreline = match from_events {
                Some(centreline) => centreline,
                None => self.stated_centreline_deg(valve)?,
            };
            let duration_deg = self.checked_deg(valve, "duration", n)?;
            found.push(LobeEvents::from_centreline(valve, duration_deg, centreline, duration.check)?);
        }
        if found.is_empty() {
            return Err(Lack::missing(format!("lobe.{}.duration", side(valve))));
        }
        found.sort_by(|a, b| a.check().lift_m().total_cmp(&b.check().lift_m()));
        Ok(found)
    }

    /// The lobe's lift curve: through a measured table, else a smooth one that meets the card.
    ///
    /// # Errors
    /// [`Lack`] without either, and what the fit refuses.
    pub fn lift_curve(&self, valve: Valve) -> Result<LiftCurve, Lack> {
        let lobe = self.lobe(valve);
        if !lobe.table_angle.is_empty() {
            return self.table_curve(valve);
        }
        let mut events = Vec::new();
        for event in self.card_events(valve)? {
            let check = self.at_lifter(valve, event.check())?;
            events.push(LobeEvents::new(valve, event.opens(), event.closes(), check)?);
        }
        let mut card = LiftCard::from_events(self.side_value("lobe", valve, "lobe_lift")?, &events, None)?;
        card.ramp_deg = self.stated(&format!("lobe.{}.ramp", side(valve))).map(f64::to_degrees);
        let mut key: Vec<u64> = vec![card.lobe_lift_m.to_bits(), card.nose_deg.to_bits()];
        key.push(card.ramp_deg.map_or(0, f64::to_bits));
        for point in &card.points {
            key.extend([point.lift_m, point.opening_deg, point.closing_deg].map(f64::to_bits));
        }
        if let Some(known) = self.curves.borrow().get(&key) {
            return known.clone();
        }
        let direct = self.follower_is("bucket") || self.follower_is("finger");
        let follower = if direct { Follower::Direct } else { Follower::Lifter };
        let made = lift_curve_for(&card, follower).map_err(Lack::from).map(|made| {
            for sentence in made.assumptions {
                self.note(&format!("lobe.{}", side(valve)), &sentence, "the card does not say", "C");
            }
            made.curve
        });
        self.curves.borrow_mut().insert(key, made.clone());
        made
    }

    fn table_curve(&self, valve: Valve) -> Result<LiftCurve, Lack> {
        self.table_fit(valve).map(|fit| fit.curve)
    }

    /// The fit of a measured lobe table, with the uncertainties that its readings give.
    ///
    /// # Errors
    /// [`Lack::Missing`] without a table or its reading's uncertainty; [`Lack::Refused`] as [`fit`].
    pub fn table_fit(&self, valve: Valve) -> Result<TableFit, Lack> {
        let lobe = self.lobe(valve);
        if lobe.table_angle.is_empty() {
            return Err(Lack::missing(format!("lobe.{}.table_angle", side(valve))));
        }
        if let Some(known) = self.fits.borrow().get(side(valve)) {
            return known.clone();
        }
        let key = format!("lobe.{}.table_reading_u", side(valve));
        let u_lift_m = self.input(&key)?.si;
        let rows: Vec<(f64, f64)> =
            lobe.table_angle.iter().zip(&lobe.table_lift).map(|(a, l)| (a.deg(), l.si)).collect();
        let span = rows.last().map_or(0.0, |r| r.0) - rows.first().map_or(0.0, |r| r.0);
        let ends = if span > 660.0 { Ends::WholeTurn } else { Ends::BaseCircle };
        let made = fit(&LiftTable { rows, u_lift_m, ends }).map_err(Lack::from);
        self.fits.borrow_mut().insert(side(valve), made.clone());
        made
    }

    /// Events at a lifter rise, from the card where it has that check lift, else off the curve.
    ///
    /// # Errors
    /// As [`Facts::lift_curve`].
    pub fn events_at(&self, valve: Valve, lifter_m: f64) -> Result<LobeEvents, Lack> {
        let check = CheckLift::new(lifter_m, LiftAt::Lifter)?;
        if self.lobe(valve).table_angle.is_empty()
            && let Some(found) = self.card_events(valve)?.into_iter().find(|e| e.check().same_as(check))
        {
            return Ok(found);
        }
        Ok(self.lift_curve(valve)?.events(valve, check)?)
    }

    /// Events at the lowest lift known: the card's lowest check lift, or 0.006 in on a measured table.
    ///
    /// # Errors
    /// As [`Facts::card_events`] and [`Facts::lift_curve`].
    pub fn seat_events(&self, valve: Valve) -> Result<LobeEvents, Lack> {
        if !self.lobe(valve).table_angle.is_empty() {
            return self.events_at(valve, 0.006 * 0.0254);
        }
        self.card_events(valve)?.into_iter().next().ok_or_else(|| Lack::missing("lobe.intake.duration"))
    }

    /// Valve lift over crank angle, m, from curve, ratio and lash.
    ///
    /// # Errors
    /// As [`Facts::lift_curve`].
    pub fn valve_lift_curve(&self, valve: Valve) -> Result<impl Fn(f64) -> f64 + use<>, Lack> {
        let (curve, ratio, lash_m) = (self.lift_curve(valve)?, self.rocker_ratio(valve)?, self.lash_m(valve)?);
        Ok(move |angle_deg: f64| (curve.lift_m(angle_deg) * ratio - lash_m).max(0.0))
    }

    /// Spring in its place.
    ///
    /// # Errors
    /// [`Lack::Missing`] with every figure that is missing; [`Lack::Refused`] for a spring that is solid.
    pub fn valve_spring(&self, valve: Valve) -> Result<Spring, Lack> {
        let names =
            ["installed_height", "coil_bind", "seat_force", "rate"].map(|k| format!("spring.{}.{k}", side(valve)));
        let [installed_m, bind_m, seat_n, rate] = self.all(names.each_ref().map(String::as_str))?;
        Ok(Spring::from_rate(installed_m, bind_m, (seat_n, 0.0), (rate, 0.0))?)
    }

    /// Mass that the spring moves, at the valve, kg. Rocker and lifter count as stated, or not at all for a bucket.
    ///
    /// # Errors
    /// [`Lack::Missing`] for what is not stated.
    pub fn moving_mass_kg(&self, valve: Valve) -> Result<f64, Lack> {
        let name = |k: &str| format!("valve_train.{}.{k}", side(valve));
        let [valve_side_kg, spring_kg, lobe_side_kg] =
            self.all([&name("valve_mass"), &name("spring_mass"), &name("lifter_mass")])?;
        let (rocker_kg_m2, rocker_valve_arm_m) = match self.stated(&name("rocker_inertia")) {
            Some(inertia) => (inertia, self.get(&name("rocker_arm"))?),
            None => (0.0, 0.0),
        };
        let parts = MovingParts { valve_side_kg, spring_kg, lobe_side_kg, rocker_kg_m2, rocker_valve_arm_m };
        Ok(motion::effective_mass_kg(&parts, self.rocker_ratio(valve)?)?)
    }
}

/// Whether a printed figure and events disagree; used by the check of the whole build.
pub(crate) fn contradictions(errors: Vec<CamError>) -> Vec<String> {
    errors.into_iter().map(|e| e.to_string()).collect()
}
