//! Which ends are cut alike: one template serves them all.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;
use crate::roof::{Bend, Kind};
use crate::system::{EndCut, Section};

use super::development::{Development, develop, skewed, square_across};
use super::end::nearest;
use super::notch::Notch;
use super::result::{End, RunEnd};

/// How to mark and cut one end that is mitred, cut on the skew, notched or returned, and which runs have it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndTemplate {
    /// Of which trim.
    pub kind: Kind,
    /// At which end. The roof lies to the left of a trim seen from its start.
    pub end: RunEnd,
    /// Interior angle of the corner in degrees, in the plane of the two edges.
    pub interior_deg: f64,
    /// How it is cut.
    pub cut: EndCut,
    /// The mark across the flat, and the cut of each facet.
    pub development: Development,
    /// What comes off beside the mark, so that it closes with the other trim.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notches: Vec<Notch>,
    /// For a return: how far beyond the corner its face is folded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fold: Option<Length>,
    /// Marks of the runs that have this end.
    pub runs: Vec<String>,
}

/// What tells templates apart: trim, end, how it is cut, the mark, the notches.
type Key = (Kind, RunEnd, Vec<Length>, Vec<Notch>);

/// Collects templates, one for all ends that are marked alike.
#[derive(Default)]
pub(super) struct Templates {
    found: Vec<EndTemplate>,
    known: BTreeMap<Key, usize>,
}

impl Templates {
    pub(super) fn add(
        &mut self,
        section: &Section,
        bend: Bend,
        (end, notches): (&End, &[Notch]),
        of: (Kind, RunEnd),
        mark: &str,
    ) {
        let development = match end.cut {
            EndCut::Mitre => {
                let mut development = develop(section, bend);
                // What the corner's rule adds moves the whole mark.
                let extra = end.gain - development.long_point();
                development.mark.iter_mut().for_each(|mark| mark.1 += extra);
                development
            }
            EndCut::Skew => skewed(section, bend, end.gain),
            // A square end needs no template unless something else comes off.
            _ if notches.is_empty() && end.cut != EndCut::Return => return,
            _ => square_across(section, end.gain),
        };
        let along = development.mark.iter().map(|mark| mark.1).collect();
        let next = self.found.len();
        let at = *self.known.entry((of.0, of.1, along, notches.to_vec())).or_insert(next);
        if at == next {
            let fold = nearest(section.face_line().um() as f64 * bend.tan_half());
            self.found.push(EndTemplate {
                kind: of.0,
                end: of.1,
                interior_deg: 180.0 - bend.degrees(),
                cut: end.cut,
                development,
                notches: notches.to_vec(),
                fold: (end.cut == EndCut::Return).then_some(fold),
                runs: Vec::new(),
            });
        }
        self.found[at].runs.push(mark.to_string());
    }

    /// The templates, by kind and end, those for most runs first.
    pub(super) fn into_sorted(mut self) -> Vec<EndTemplate> {
        self.found.sort_by_key(|template| (template.kind, std::cmp::Reverse(template.runs.len()), template.end));
        self.found
    }
}
