//! From working hours and weather to the times in which a kind of work may be done.

use std::ops::Range;

use super::Programme;
use super::cure::{Clock, Closing, Cure, Rounding};
use super::solve::Minute;
use crate::calendar::{DAY, Moment};
use crate::system::{Hardener, Layer, Renewal, System, WindowBand};
use crate::wet;

/// What is wrong with an hour of the forecast for some work; the first that applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Unfit {
    Rain,
    Drying,
    Damp,
    Dew,
    Temperature,
}

impl Unfit {
    pub(super) const ALL: [Unfit; 5] = [Unfit::Rain, Unfit::Drying, Unfit::Damp, Unfit::Dew, Unfit::Temperature];

    pub(super) const fn words(self) -> &'static str {
        match self {
            Unfit::Rain => "rain",
            Unfit::Drying => "wet after rain",
            Unfit::Damp => "air too damp",
            Unfit::Dew => "surface too close to the dew point",
            Unfit::Temperature => "surface outside the system's tables",
        }
    }
}

/// What an hour is wanted for.
#[derive(Clone, Copy, Debug)]
enum Work<'a> {
    Dry,
    Laid(&'a Layer),
    Cleaned,
    Cures,
}

/// The hours of a programme within its days.
pub(super) struct Hours<'a> {
    system: &'a System,
    programme: &'a Programme,
    /// The surface temperature that was read: what is taken where no forecast says.
    read_c: Option<f64>,
    begin: Minute,
    end: Minute,
}

impl<'a> Hours<'a> {
    pub(super) fn new(system: &'a System, programme: &'a Programme, read_c: Option<f64>) -> Self {
        let begin = programme.start.midnight().minutes();
        Hours { system, programme, read_c, begin, end: begin + i64::from(programme.within_days) * DAY }
    }

    /// Working hours, day by day.
    fn working(&self) -> Vec<Range<Minute>> {
        let days = 0..i64::from(self.programme.within_days);
        let mut spells: Vec<Range<Minute>> = Vec::new();
        for date in days.map(|day| self.programme.start.plus_days(day)) {
            let Some((from, to)) = self.programme.week.on(date.weekday()) else { continue };
            if self.programme.days_off.contains(&date) {
                continue;
            }
            let midnight = date.midnight();
            push(&mut spells, midnight.after(from.minutes()).minutes()..midnight.after(to.minutes()).minutes());
        }
        spells
    }

    /// What is wrong with an hour for some work.
    fn unfit(&self, hour: usize, work: Work<'_>) -> Option<Unfit> {
        let forecast = self.programme.forecast.as_ref()?;
        let limits = &self.system.limits;
        let rains = |hour: usize| self.rains(hour);
        if rains(hour) {
            return Some(Unfit::Rain);
        }
        if matches!(work, Work::Dry) {
            return None;
        }
        let laid = !matches!(work, Work::Cures);
        let wet_hours = (self.system.work.drying_min as usize).div_ceil(60);
        if laid && (hour.saturating_sub(wet_hours)..hour).any(rains) {
            return Some(Unfit::Drying);
        }
        let humidity = forecast.humidity_percent.get(hour).copied()?;
        if humidity > limits.humidity_percent {
            return Some(Unfit::Damp);
        }
        let surface_c = forecast.surface(hour)?;
        let dew_c = wet::condensation_point_c(forecast.air_c.get(hour).copied()?, humidity).ok()?;
        // To a thousandth, as the check of readings does it.
        if ((surface_c - dew_c) * 1_000.0).round() / 1_000.0 < limits.dew_margin_k {
            return Some(Unfit::Dew);
        }
        let Work::Laid(layer) = work else { return None };
        let hardener: Option<&Hardener> = self.system.hardener_of(layer);
        let no_dose = hardener.is_some_and(|hardener| wet::dose(hardener, surface_c).is_err());
        // Where a layer has a table of windows, it is not laid outside it either.
        let no_window = !layer.next_at.is_empty() && layer.window_band(surface_c).is_none();
        (no_dose || no_window).then_some(Unfit::Temperature)
    }

    fn rains(&self, hour: usize) -> bool {
        let rain_mm = self.programme.forecast.as_ref().and_then(|forecast| forecast.rain_mm.get(hour));
        rain_mm.is_some_and(|&rain| rain > self.system.work.rain_mm)
    }

    /// The hours of rain, in order.
    fn rain(&self) -> Vec<Range<Minute>> {
        let Some(forecast) = &self.programme.forecast else { return Vec::new() };
        let mut spells = Vec::new();
        for hour in (0..forecast.hours()).filter(|&hour| self.rains(hour)) {
            let begin = forecast.from.minutes() + hour as Minute * 60;
            push(&mut spells, begin..begin + 60);
        }
        spells
    }

    /// A wait of a layer: `plain` minutes where nothing is known, and what `of_band` says where a temperature is; `off` where
    /// it lies outside the layer's table.
    fn clock(
        &self,
        layer: &Layer,
        plain: Minute,
        of_band: impl Fn(&WindowBand) -> Minute,
        off: Option<Minute>,
        rounding: Rounding,
    ) -> Clock {
        if layer.next_at.is_empty() {
            return Clock::even(plain, rounding);
        }
        let at = |surface_c| layer.window_band(surface_c).map(&of_band);
        let plain = self.read_c.and_then(at).unwrap_or(plain).max(1);
        let Some(forecast) = &self.programme.forecast else { return Clock::even(plain, rounding) };
        let hours = (0..forecast.hours()).map(|hour| forecast.surface(hour).and_then(at).or(off));
        Clock::by_hours(plain, forecast.from.minutes(), hours, rounding)
    }

    /// How a layer cures.
    pub(super) fn cure(&self, layer: &Layer) -> Cure {
        let window = layer.next;
        let least = |from_min: f64| (from_min - 1e-6).ceil().max(0.0) as Minute;
        // Rounded down: a window is not kept open for a part of a minute.
        let most = |to_h: f64| (to_h * 60.0 + 1e-6).floor().max(0.0) as Minute;
        let plain = window.map_or(0, |window| least(window.from_min));
        let ready = self.clock(layer, plain, |band| least(band.from_min), None, Rounding::Up);
        let closing = window.map(|window| {
            let shortest = layer.next_at.iter().map(|band| most(band.to_h)).min();
            let clock = self.clock(layer, most(window.to_h), |band| most(band.to_h), shortest, Rounding::Down);
            let wetted = layer.renewal.as_ref().is_some_and(|renewal| renewal.after_rain);
            Closing { clock, rain: if wetted { self.rain() } else { Vec::new() } }
        });
        Cure { ready, closing }
    }

    /// How long a layer stays dry after it is laid.
    pub(super) fn stays_dry(&self, layer: &Layer) -> Clock {
        match layer.rain_safe_min {
            Some(minutes) => Clock::even((minutes - 1e-6).ceil().max(0.0) as Minute, Rounding::Up),
            None => self.cure(layer).ready,
        }
    }

    /// What a layer that was cleaned waits for.
    pub(super) fn renewed(&self, renewal: &Renewal) -> Cure {
        let clock = Clock::even((renewal.to_h * 60.0 + 1e-6).floor().max(0.0) as Minute, Rounding::Down);
        Cure {
            ready: Clock::even((renewal.from_min - 1e-6).ceil().max(0.0) as Minute, Rounding::Up),
            closing: Some(Closing { clock, rain: if renewal.after_rain { self.rain() } else { Vec::new() } }),
        }
    }

    /// The spells less the hours of the forecast that are unfit.
    fn fit(&self, spells: Vec<Range<Minute>>, work: Work<'_>) -> Vec<Range<Minute>> {
        let Some(forecast) = &self.programme.forecast else { return spells };
        let from = forecast.from.minutes();
        let unfit: Vec<bool> = (0..forecast.hours()).map(|hour| self.unfit(hour, work).is_some()).collect();
        let mut left = Vec::new();
        for spell in spells {
            let mut at = spell.start;
            while at < spell.end {
                let hour = (at - from).div_euclid(60);
                let known = usize::try_from(hour).ok().filter(|&hour| hour < unfit.len());
                // Before the forecast and after it, all is fit.
                let next = match known {
                    Some(_) => from + (hour + 1) * 60,
                    None if at < from => from,
                    None => spell.end,
                };
                let to = next.min(spell.end);
                if known.is_none_or(|hour| !unfit[hour]) {
                    push(&mut left, at..to);
                }
                at = to;
            }
        }
        left
    }

    /// When dry work may be done.
    pub(super) fn dry(&self) -> Vec<Range<Minute>> {
        self.fit(self.working(), Work::Dry)
    }

    /// When a layer may be cleaned, and when the weather lets it lie.
    pub(super) fn cleaning(&self) -> (Vec<Range<Minute>>, Vec<Range<Minute>>) {
        let whole = std::iter::once(self.begin..self.end + 7 * DAY).collect();
        (self.fit(self.working(), Work::Cleaned), self.fit(whole, Work::Cures))
    }

    /// When a layer may be laid, and when it may lie and cure.
    pub(super) fn wet(&self, layer: &Layer) -> (Vec<Range<Minute>>, Vec<Range<Minute>>) {
        // Curing may go on after the last day.
        let whole = std::iter::once(self.begin..self.end + 7 * DAY).collect();
        (self.fit(self.working(), Work::Laid(layer)), self.fit(whole, Work::Cures))
    }

    /// In how many working hours of the forecast something is wrong for a layer, or for dry work.
    pub(super) fn lost(&self, layer: Option<&Layer>) -> Vec<(Unfit, usize)> {
        let Some(forecast) = &self.programme.forecast else { return Vec::new() };
        let working = self.working();
        let worked = |hour: &usize| {
            let at = forecast.from.after(*hour as i64 * 60).minutes();
            working.iter().any(|spell| spell.start < at + 60 && at < spell.end)
        };
        let causes: Vec<Unfit> = (0..forecast.hours())
            .filter(worked)
            .filter_map(|hour| self.unfit(hour, layer.map_or(Work::Dry, Work::Laid)))
            .collect();
        let count = |cause: Unfit| (cause, causes.iter().filter(|&&found| found == cause).count());
        Unfit::ALL.into_iter().map(count).filter(|&(_, count)| count > 0).collect()
    }

    /// Coldest and warmest surface that is forecast for some minutes.
    pub(super) fn surface_c(&self, span: Range<Minute>) -> Option<(f64, f64)> {
        let forecast = self.programme.forecast.as_ref()?;
        let (first, last) = (span.start, (span.end - 1).max(span.start));
        let hours = forecast.hour_of(Moment::from_minutes(first))?..=forecast.hour_of(Moment::from_minutes(last))?;
        let surfaces = || hours.clone().filter_map(|hour| forecast.surface(hour));
        Some((surfaces().min_by(f64::total_cmp)?, surfaces().max_by(f64::total_cmp)?))
    }

    /// Where the forecast ends.
    pub(super) fn known_to(&self) -> Option<Minute> {
        let forecast = self.programme.forecast.as_ref()?;
        Some(forecast.from.after(forecast.hours() as i64 * 60).minutes())
    }

    /// Where it begins.
    pub(super) fn known_from(&self) -> Option<Minute> {
        self.programme.forecast.as_ref().map(|forecast| forecast.from.minutes())
    }
}

/// Adds a spell, joined to the last where they touch.
fn push(spells: &mut Vec<Range<Minute>>, spell: Range<Minute>) {
    match spells.last_mut() {
        Some(last) if last.end == spell.start => last.end = spell.end,
        _ if spell.start < spell.end => spells.push(spell),
        _ => {}
    }
}
