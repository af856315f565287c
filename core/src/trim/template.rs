//! Which ends are mitred alike: one template serves them all.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;
use crate::roof::{Bend, Kind};
use crate::system::{EndCut, Section};

use super::development::{Development, develop};
use super::result::End;

/// An end of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RunEnd {
    /// Where it begins.
    Start,
    /// Where it ends.
    End,
}

/// How to mark and cut one mitred end, and which runs have it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndTemplate {
    /// Of which trim.
    pub kind: Kind,
    /// At which end. The roof lies to the left of a trim seen from its start.
    pub end: RunEnd,
    /// Interior angle of the corner in degrees, in the plane of the two edges.
    pub interior_deg: f64,
    /// The mark across the flat, and the cut of each facet.
    pub development: Development,
    /// Marks of the runs that have this end.
    pub runs: Vec<String>,
}

/// Collects templates, one for all ends that are marked alike.
#[derive(Default)]
pub(super) struct Templates {
    found: Vec<EndTemplate>,
    known: BTreeMap<(Kind, RunEnd, Vec<Length>), usize>,
}

impl Templates {
    pub(super) fn add(&mut self, section: &Section, bend: Bend, end: &End, of: (Kind, RunEnd), mark: &str) {
        if end.cut != EndCut::Mitre {
            return;
        }
        let mut development = develop(section, bend);
        // What the corner's rule adds moves the whole mark.
        let extra = end.gain - development.long_point();
        development.mark.iter_mut().for_each(|mark| mark.1 += extra);
        let along = development.mark.iter().map(|mark| mark.1).collect();
        let next = self.found.len();
        let at = *self.known.entry((of.0, of.1, along)).or_insert(next);
        if at == next {
            let interior_deg = 180.0 - bend.degrees();
            let (kind, end) = of;
            self.found.push(EndTemplate { kind, end, interior_deg, development, runs: Vec::new() });
        }
        self.found[at].runs.push(mark.to_string());
    }

    /// The templates, by kind and end, those for most runs first.
    pub(super) fn into_sorted(mut self) -> Vec<EndTemplate> {
        self.found.sort_by_key(|template| (template.kind, std::cmp::Reverse(template.runs.len()), template.end));
        self.found
    }
}
