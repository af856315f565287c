//! From GeoJSON (RFC 7946) to a roof: a geometry, a feature, or a collection of one feature.
//!
//! The coordinates are taken as lengths in a local plane, not as degrees: an altitude is passed over, the repeated
//! closing point of a ring is dropped. So are points that repeat the one before, which GeoJSON allows and a job does not.

use serde_json::Value;
use upstand::geometry::Point;
use upstand::roof::Boundary;
use upstand::{Code, Error, Length, Roof};

use crate::value::Place;

/// How many millimetres one unit of the coordinates has.
#[derive(Clone, Copy)]
pub(crate) enum Unit {
    Metre,
    Millimetre,
}

impl Unit {
    pub(crate) fn from_word(word: &str) -> Result<Unit, Error> {
        match word {
            "m" => Ok(Unit::Metre),
            "mm" => Ok(Unit::Millimetre),
            _ => Err(Error::new(Code::BadArgument, "/units", format!("{word:?} is not a unit: \"m\" or \"mm\""))),
        }
    }

    pub(crate) fn length(self, number: f64) -> Result<Length, Error> {
        Length::try_from_mm_f64(match self {
            Unit::Metre => number * 1_000.0,
            Unit::Millimetre => number,
        })
    }
}

/// The roof whose outline and holes are the polygon of a GeoJSON object; its edges have no kinds yet.
pub(crate) fn to_roof(value: &Value, place: Place<'_>, unit: Unit) -> Result<Roof, Error> {
    match value.get("type").and_then(Value::as_str) {
        Some("Feature") => to_roof(member(value, "geometry", place)?, place.field("geometry"), unit),
        Some("FeatureCollection") => to_roof(single(value, "features", place)?, place.field("features").item(0), unit),
        Some("MultiPolygon") => {
            let coordinates = place.field("coordinates");
            rings(single(value, "coordinates", place)?, coordinates.item(0), unit)
        }
        Some("Polygon") => rings(member(value, "coordinates", place)?, place.field("coordinates"), unit),
        Some(other) => Err(place.field("type").error(
            Code::BadValue,
            format!("a {other} is not a roof: a Polygon is needed, or a MultiPolygon or FeatureCollection of one"),
        )),
        None => Err(place.field("type").error(Code::MissingField, "GeoJSON says its \"type\"")),
    }
}

fn member<'v>(value: &'v Value, name: &str, place: Place<'_>) -> Result<&'v Value, Error> {
    value.get(name).ok_or_else(|| place.field(name).error(Code::MissingField, format!("missing field `{name}`")))
}

fn single<'v>(value: &'v Value, name: &str, place: Place<'_>) -> Result<&'v Value, Error> {
    let items = array(member(value, name, place)?, place.field(name))?;
    match items {
        [only] => Ok(only),
        _ => Err(place.field(name).error(
            Code::BadValue,
            format!("{} parts: a roof is one polygon, so make one roof of each part", items.len()),
        )),
    }
}

fn array<'v>(value: &'v Value, place: Place<'_>) -> Result<&'v [Value], Error> {
    value.as_array().map(Vec::as_slice).ok_or_else(|| place.error(Code::BadValue, "an array is needed"))
}

fn rings(value: &Value, place: Place<'_>, unit: Unit) -> Result<Roof, Error> {
    let mut rings = Vec::new();
    for (index, value) in array(value, place)?.iter().enumerate() {
        rings.push(ring(value, place.item(index), unit)?);
    }
    let mut rings = rings.into_iter();
    let outer = rings.next().ok_or_else(|| place.error(Code::TooFewPoints, "an empty polygon has no outline"))?;
    Ok(Roof { outer, holes: rings.collect(), ..Roof::default() })
}

fn ring(value: &Value, place: Place<'_>, unit: Unit) -> Result<Boundary, Error> {
    let mut points = Vec::new();
    for (index, position) in array(value, place)?.iter().enumerate() {
        let place = place.item(index);
        let number = |axis: usize| {
            let number = position.get(axis).and_then(Value::as_f64).ok_or_else(|| {
                place.error(Code::BadValue, "a position is an array of two numbers, or three with an altitude")
            })?;
            unit.length(number).map_err(|error| error.under(&place.item(axis).pointer()))
        };
        points.push(Point { x: number(0)?, y: number(1)? });
    }
    if points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    Ok(Boundary { points, ..Boundary::default() })
}

/// Drops points that repeat the one before exactly, with the kinds of the edges of no length between them.
pub(crate) fn drop_repeats(boundary: &mut Boundary) {
    let count = boundary.points.len();
    let stays: Vec<bool> =
        (0..count).map(|point| count == 1 || boundary.points[point] != boundary.points[(point + 1) % count]).collect();
    let mut edges = stays.iter();
    if boundary.kinds.len() == count {
        boundary.kinds.retain(|_| edges.next().is_none_or(|&stays| stays));
    }
    let mut points = stays.iter();
    boundary.points.retain(|_| points.next().is_none_or(|&stays| stays));
}
