//! What a record shows when it is held against table, windows and limits.

use super::{CoatDone, LayerReport, MixDone, Reading, Record};
use crate::finding::{Finding, Grade};
use crate::survey::Coat;
use crate::system::System;
use crate::wet;

const TABLE: &str = "the system's hardener table";
const LIMITS: &str = "the system's limits";
const PLAN: &str = "the plan of the job";

/// How long before a coat is begun a reading still counts, in minutes.
const READING_BEFORE: i64 = 120;
/// How long before a coat is begun a mix for it may be made, in minutes.
const MIX_BEFORE: i64 = 30;

pub(super) fn findings(record: &Record, layers: &[LayerReport]) -> Vec<Finding> {
    let system = &record.job.system;
    let mut findings = Vec::new();
    for (i, reading) in record.readings.iter().enumerate() {
        moisture(system, reading, &format!("/readings/{i}"), &mut findings);
    }
    for (i, mix) in record.mixes.iter().enumerate() {
        inspect_mix(record, mix, &format!("/mixes/{i}"), &mut findings);
    }
    wet::inspect_coats(system, &coats(record), &warmth(record), "/coats", &mut findings);
    for (i, coat) in record.coats.iter().enumerate() {
        weather(record, coat, &format!("/coats/{i}"), &mut findings);
    }
    for layer in layers.iter().filter(|layer| layer.planned_kg > 0.0) {
        missing(record, layer, &mut findings);
    }
    findings
}

/// The coats as the survey has them: in minutes on one clock.
fn coats(record: &Record) -> Vec<Coat> {
    let minutes = |coat: &CoatDone| Coat {
        layer: coat.layer.clone(),
        roof: coat.roof,
        // Whole minutes of any date are exact.
        begun_min: coat.begun.minutes() as f64,
        done_min: coat.done.minutes() as f64,
        wetted: coat.wetted,
    };
    record.coats.iter().map(minutes).collect()
}

/// Surface temperatures as they were read, and as they were read at each mix.
fn warmth(record: &Record) -> wet::Warmth {
    let read = record.readings.iter().filter_map(|of| Some((of.roof, of.at.minutes() as f64, of.surface_c?)));
    let mixed = record.mixes.iter().map(|mix| (mix.roof, mix.at.minutes() as f64, mix.surface_c));
    let mut readings: Vec<_> = read.chain(mixed).collect();
    readings.sort_by(|a, b| a.1.total_cmp(&b.1));
    wet::Warmth { steady_c: None, readings }
}

fn moisture(system: &System, reading: &Reading, place: &str, findings: &mut Vec<Finding>) {
    let limit = system.limits.moisture_percent;
    if let Some(percent) = reading.moisture_percent.filter(|&percent| percent > limit) {
        let text = format!("The deck held {percent} % at {}; the limit is {limit} %.", reading.at);
        let place = format!("{place}/moisture_percent");
        findings.push(Finding::new(Grade::Refuse, "deck_moisture", place, LIMITS, text).measured(percent, limit, "%"));
    }
}

fn inspect_mix(record: &Record, mix: &MixDone, place: &str, findings: &mut Vec<Finding>) {
    let system = &record.job.system;
    let Some(layer) = system.layers.iter().find(|layer| layer.material == mix.layer) else { return };
    let mut find = |grade, code: &str, basis: &str, text: String, value: f64, limit: f64, unit: &str| {
        findings.push(Finding::new(grade, code, place, basis, text).measured(value, limit, unit));
    };
    let what = format!("The mix of {} at {}", layer.name, mix.at);
    let during = |coat: &&CoatDone| {
        coat.layer == mix.layer
            && coat.roof == mix.roof
            && coat.begun.after(-MIX_BEFORE) <= mix.at
            && mix.at <= coat.done
    };
    let laid = record.coats.iter().any(|coat| during(&coat));
    if let Some(most_kg) = layer.most_mix_kg.filter(|&most_kg| mix.mass_kg > most_kg) {
        let text = format!("{what} was {} kg; at most {most_kg} kg are mixed at once.", mix.mass_kg);
        find(Grade::Caution, "mix_too_large", LIMITS, text, mix.mass_kg, most_kg, "kg");
    }
    if let Some(hardener) = system.hardener_of(layer) {
        match wet::dose(hardener, mix.surface_c) {
            Err(refusal) => {
                let text = format!(
                    "{what} was made at a surface of {} degrees Celsius, where the table of {} has no dose.",
                    mix.surface_c, hardener.name
                );
                let limit = refusal.limit.unwrap_or(mix.surface_c);
                find(Grade::Refuse, "mix_off_table", TABLE, text, mix.surface_c, limit, "degC");
            }
            Ok(band) => {
                let least_g = hardener.fraction(band.dose, layer).unwrap_or(0.0) * mix.mass_kg * 1_000.0;
                // What scales cannot show is no difference.
                if mix.hardener_g < least_g - 0.05 {
                    let least_g = tenth(least_g);
                    let text = format!("{what} had {} g of hardener; it takes {least_g} g.", mix.hardener_g);
                    find(Grade::Refuse, "mix_underdosed", TABLE, text, mix.hardener_g, least_g, "g");
                }
                let used_min = mix.used_up.map(|used_up| (used_up.minutes() - mix.at.minutes()) as f64);
                if let (Some(used_min), Some(pot_life_min)) = (used_min, band.pot_life_min)
                    && used_min > pot_life_min
                {
                    let text = format!("{what} was used for {used_min} minutes; it may gel after {pot_life_min}.");
                    find(Grade::Caution, "mix_outlived", TABLE, text, used_min, pot_life_min, "min");
                }
            }
        }
        let table = hardener.bands.iter().filter_map(|band| hardener.fraction(band.dose, layer));
        let most = hardener.most_fraction.or(table.max_by(f64::total_cmp)).unwrap_or(f64::INFINITY);
        // One step of the scales over the largest dose is rounding.
        let most_g = most * mix.mass_kg * 1_000.0 + hardener.scale_g.unwrap_or(1.0);
        if mix.hardener_g > most_g {
            let most_g = tenth(most_g);
            let text = format!("{what} had {} g of hardener; the most for it is {most_g} g.", mix.hardener_g);
            find(Grade::Caution, "mix_overdosed", TABLE, text, mix.hardener_g, most_g, "g");
        }
    }
    if !laid {
        let text = format!("{what} belongs to no coat of the record.");
        findings.push(Finding::new(Grade::Caution, "mix_without_coat", place, PLAN, text));
    }
}

/// The last reading of the two hours before a coat, and all while it was laid.
fn weather(record: &Record, coat: &CoatDone, place: &str, findings: &mut Vec<Finding>) {
    let limits = &record.job.system.limits;
    let whole = |reading: &&Reading| {
        let all = reading.air_c.is_some() && reading.humidity_percent.is_some() && reading.surface_c.is_some();
        all && reading.roof == coat.roof && coat.begun.after(-READING_BEFORE) <= reading.at && reading.at <= coat.done
    };
    let last = record.readings.iter().filter(whole).map(|reading| reading.at).filter(|&at| at <= coat.begun).max();
    let mut complete = false;
    for reading in record.readings.iter().filter(whole).filter(|reading| last.is_none_or(|last| reading.at >= last)) {
        let (Some(air_c), Some(humidity), Some(surface_c)) =
            (reading.air_c, reading.humidity_percent, reading.surface_c)
        else {
            continue;
        };
        complete = true;
        let Ok(dew_c) = wet::condensation_point_c(air_c, humidity) else { continue };
        let margin = ((surface_c - dew_c) * 1_000.0).round() / 1_000.0;
        if margin < limits.dew_margin_k {
            let text = format!(
                "At {} the surface was {margin} K above the dew point; at least {} K is needed.",
                reading.at, limits.dew_margin_k
            );
            let finding = Finding::new(Grade::Refuse, "dew_point", place, LIMITS, text);
            findings.push(finding.measured(margin, limits.dew_margin_k, "K"));
        }
        if humidity > limits.humidity_percent {
            let text = format!("At {} the air held {humidity} % of humidity.", reading.at);
            let finding = Finding::new(Grade::Refuse, "humidity", place, LIMITS, text);
            findings.push(finding.measured(humidity, limits.humidity_percent, "%"));
        }
    }
    if !complete {
        let text = "The record has no reading of surface, air and humidity together in the two hours before this coat was \
                    begun or while it was laid.";
        findings.push(Finding::new(Grade::Caution, "coat_without_reading", place, LIMITS, text));
    }
}

/// A layer that the plan needs and the record does not have, or has too little of.
fn missing(record: &Record, layer: &LayerReport, findings: &mut Vec<Finding>) {
    for roof in 0..record.job.roofs.len() {
        if !record.coats.iter().any(|coat| coat.layer == layer.layer && coat.roof == roof) {
            let text = format!("No coat of {} on this roof is recorded.", layer.name);
            let place = format!("/job/roofs/{roof}");
            findings.push(Finding::new(Grade::Caution, "layer_not_recorded", place, PLAN, text));
        }
    }
    let hardened = record.job.system.layers.iter().any(|of| of.material == layer.layer && of.hardener.is_some());
    // Of what is not mixed, nobody writes down each pot.
    if (hardened || layer.mixes > 0) && layer.mixed_kg < layer.planned_kg {
        let text = format!(
            "{} kg of {} were mixed; the plan needs {} kg without waste. It may be too thin: find out before hand-over.",
            layer.mixed_kg, layer.name, layer.planned_kg
        );
        findings.push(Finding::new(Grade::Caution, "less_than_planned", "/mixes", PLAN, text).measured(
            layer.mixed_kg,
            layer.planned_kg,
            "kg",
        ));
    }
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}
