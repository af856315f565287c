//! A plan's lists as tables: columns of equal length and one type each, ready for a data frame.

use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde::Serialize;
use upstand::trim::{EndTemplate, FacetCut, Hand, Material, PieceEnd, piece_fixings};
use upstand::{Code, Error, Plan};

use crate::plan::grade;

/// The tables of a plan.
pub(crate) const NAMES: [&str; 19] = [
    "roofs",
    "corners",
    "runs",
    "bars",
    "pieces",
    "fixings",
    "templates",
    "marks",
    "facets",
    "notches",
    "strips",
    "areas",
    "takeoff",
    "findings",
    "tasks",
    "mixes",
    "layers",
    "stages",
    "alternatives",
];

/// Columns in order.
pub(crate) struct Table(pub(crate) Vec<(&'static str, Column)>);

/// The values of one column.
pub(crate) enum Column {
    Index(Vec<u64>),
    Number(Vec<f64>),
    Maybe(Vec<Option<f64>>),
    Text(Vec<String>),
    MaybeText(Vec<Option<String>>),
    Flag(Vec<bool>),
}

impl Table {
    pub(crate) fn into_dict(self, py: Python<'_>) -> PyResult<Bound<'_, PyAny>> {
        let dict = PyDict::new(py);
        for (name, column) in self.0 {
            match column {
                Column::Index(values) => dict.set_item(name, values)?,
                Column::Number(values) => dict.set_item(name, values)?,
                Column::Maybe(values) => dict.set_item(name, values)?,
                Column::Text(values) => dict.set_item(name, values)?,
                Column::MaybeText(values) => dict.set_item(name, values)?,
                Column::Flag(values) => dict.set_item(name, values)?,
            }
        }
        Ok(dict.into_any())
    }
}

/// One table of a plan.
pub(crate) fn of(plan: &Plan, name: &str) -> Result<Table, Error> {
    Ok(match name {
        "roofs" => roofs(plan),
        "corners" => corners(plan),
        "runs" => runs(plan),
        "bars" => bars(plan),
        "pieces" => pieces(plan),
        "fixings" => fixings(plan),
        "templates" => templates(plan),
        "marks" => marks(plan),
        "facets" => facets(plan),
        "notches" => notches(plan),
        "strips" => strips(plan),
        "areas" => areas(plan),
        "takeoff" => takeoff(plan),
        "findings" => findings(plan),
        "tasks" => tasks(plan),
        "mixes" => mixes(plan),
        "layers" => layers(plan),
        "stages" => stages(plan),
        "alternatives" => alternatives(plan),
        _ => {
            let message = format!("{name:?} is not a table of a plan: {}", NAMES.join(", "));
            return Err(Error::new(Code::BadArgument, "/name", message));
        }
    })
}

/// A column of some field of every row.
pub(crate) fn column<R, V>(rows: &[R], kind: impl Fn(Vec<V>) -> Column, field: impl Fn(&R) -> V) -> Column {
    kind(rows.iter().map(field).collect())
}

/// A position or a count as the tables have it.
pub(crate) fn index(value: usize) -> u64 {
    value as u64
}

/// The word that a value has on the wire.
fn word(value: impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        other => unreachable!("only unit variants are passed, got {other:?}"),
    }
}

fn roofs(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let rows: Vec<_> = plan.roofs.iter().enumerate().collect();
    Table(vec![
        ("roof", column(&rows, Index, |(i, _)| index(*i))),
        ("name", column(&rows, Text, |(_, roof)| roof.name.clone())),
        ("area_m2", column(&rows, Number, |(_, roof)| roof.area_m2)),
        ("holes", column(&rows, Index, |(_, roof)| index(roof.rings.len().saturating_sub(1)))),
        ("bare_deck_m2", column(&rows, Number, |(_, roof)| roof.mat.bare_deck_m2)),
        ("mat_laid_m2", column(&rows, Number, |(_, roof)| roof.mat.laid_m2)),
        ("tape_mm", column(&rows, Number, |(_, roof)| roof.mat.tape.mm())),
    ])
}

fn corners(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let rows: Vec<_> =
        plan.roofs.iter().enumerate().flat_map(|(i, r)| r.trims.corners.iter().map(move |c| (i, c))).collect();
    Table(vec![
        ("roof", column(&rows, Index, |(i, _)| index(*i))),
        ("ring", column(&rows, Index, |(_, corner)| index(corner.ring))),
        ("x_mm", column(&rows, Number, |(_, corner)| corner.at.x.mm())),
        ("y_mm", column(&rows, Number, |(_, corner)| corner.at.y.mm())),
        ("turn", column(&rows, Text, |(_, corner)| word(corner.turn))),
        ("turn_deg", column(&rows, Number, |(_, corner)| corner.turn_deg)),
        ("before", column(&rows, Index, |(_, corner)| index(corner.before))),
        ("after", column(&rows, Index, |(_, corner)| index(corner.after))),
        ("patches", column(&rows, Index, |(_, corner)| corner.patches.into())),
    ])
}

fn runs(plan: &Plan) -> Table {
    use Column::{Index, MaybeText, Number, Text};
    let rows: Vec<_> =
        plan.roofs.iter().enumerate().flat_map(|(i, r)| r.trims.runs.iter().map(move |run| (i, run))).collect();
    Table(vec![
        ("roof", column(&rows, Index, |(i, _)| index(*i))),
        ("mark", column(&rows, Text, |(_, run)| run.mark.clone())),
        ("kind", column(&rows, Text, |(_, run)| run.kind.word().into())),
        ("ring", column(&rows, Index, |(_, run)| index(run.ring))),
        ("line_length_mm", column(&rows, Number, |(_, run)| run.line_length.mm())),
        ("cut_length_mm", column(&rows, Number, |(_, run)| run.cut_length.mm())),
        ("start_cut", column(&rows, Text, |(_, run)| word(run.start.cut))),
        ("start_angle_deg", column(&rows, Number, |(_, run)| run.start.angle_deg)),
        ("start_hand", column(&rows, MaybeText, |(_, run)| run.start.hand.map(word))),
        ("start_gain_mm", column(&rows, Number, |(_, run)| run.start.gain.mm())),
        ("start_short_mm", column(&rows, Number, |(_, run)| run.start.short.mm())),
        ("end_cut", column(&rows, Text, |(_, run)| word(run.end.cut))),
        ("end_angle_deg", column(&rows, Number, |(_, run)| run.end.angle_deg)),
        ("end_hand", column(&rows, MaybeText, |(_, run)| run.end.hand.map(word))),
        ("end_gain_mm", column(&rows, Number, |(_, run)| run.end.gain.mm())),
        ("end_short_mm", column(&rows, Number, |(_, run)| run.end.short.mm())),
        ("joints", column(&rows, Index, |(_, run)| index(run.joints.len()))),
        ("over", column(&rows, Text, |(_, run)| word(run.over))),
        ("beads", column(&rows, Index, |(_, run)| index(run.beads.len()))),
        ("start_closing", column(&rows, MaybeText, |(_, run)| run.start.closing.map(word))),
        ("end_closing", column(&rows, MaybeText, |(_, run)| run.end.closing.map(word))),
        ("fixings", column(&rows, Index, |(_, run)| run.fixings)),
    ])
}

fn bars(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let rows: Vec<_> = plan.cut_lists.iter().flat_map(|list| list.bars.iter().map(move |bar| (list, bar))).collect();
    Table(vec![
        ("material", column(&rows, Text, |(list, _)| word(list.material))),
        ("bar", column(&rows, Index, |(_, bar)| bar.number)),
        ("length_mm", column(&rows, Number, |(_, bar)| bar.length.mm())),
        ("source", column(&rows, Text, |(_, bar)| word(bar.source))),
        ("pieces", column(&rows, Index, |(_, bar)| index(bar.pieces.len()))),
        ("offcut_mm", column(&rows, Number, |(_, bar)| bar.offcut.mm())),
    ])
}

fn pieces(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let bars = plan.cut_lists.iter().flat_map(|list| list.bars.iter().map(move |bar| (list, bar)));
    let rows: Vec<_> = bars.flat_map(|(list, bar)| bar.pieces.iter().map(move |piece| (list, bar, piece))).collect();
    Table(vec![
        ("material", column(&rows, Text, |(list, _, _)| word(list.material))),
        ("bar", column(&rows, Index, |(_, bar, _)| bar.number)),
        ("mark", column(&rows, Text, |(_, _, piece)| piece.mark.clone())),
        ("roof", column(&rows, Index, |(_, _, piece)| index(piece.roof))),
        ("run", column(&rows, Index, |(_, _, piece)| index(piece.run))),
        ("at_mm", column(&rows, Number, |(_, _, piece)| piece.at.mm())),
        ("start_along_mm", column(&rows, Number, |(_, _, piece)| piece.start_along.mm())),
        ("length_mm", column(&rows, Number, |(_, _, piece)| piece.length.mm())),
        ("start_cut", column(&rows, Text, |(_, _, piece)| piece_cut(&piece.start).into())),
        ("start_angle_deg", column(&rows, Number, |(_, _, piece)| piece_angle(&piece.start))),
        ("start_lap_mm", column(&rows, Number, |(_, _, piece)| piece_lap(&piece.start))),
        ("end_cut", column(&rows, Text, |(_, _, piece)| piece_cut(&piece.end).into())),
        ("end_angle_deg", column(&rows, Number, |(_, _, piece)| piece_angle(&piece.end))),
        ("end_lap_mm", column(&rows, Number, |(_, _, piece)| piece_lap(&piece.end))),
    ])
}

/// How an end of a piece is cut, with the longer side of a mitre and the place in a lap.
fn piece_cut(end: &PieceEnd) -> &'static str {
    match end {
        PieceEnd::Square => "square",
        PieceEnd::Mitre { hand: Hand::Left, .. } => "mitre_left",
        PieceEnd::Mitre { hand: Hand::Right, .. } => "mitre_right",
        PieceEnd::Lap { over: true, .. } => "lap_over",
        PieceEnd::Lap { over: false, .. } => "lap_under",
    }
}

fn piece_angle(end: &PieceEnd) -> f64 {
    if let PieceEnd::Mitre { angle_deg, .. } = end { *angle_deg } else { 0.0 }
}

fn piece_lap(end: &PieceEnd) -> f64 {
    if let PieceEnd::Lap { length, .. } = end { length.mm() } else { 0.0 }
}

/// The fixings of every piece of trim: where, through which leg, when each is driven, whether through both pieces of a lap.
fn fixings(plan: &Plan) -> Table {
    use Column::{Flag, Index, Number, Text};
    let trims = plan.cut_lists.iter().filter(|list| list.material <= Material::OpenSide);
    let pieces = trims.flat_map(|list| &list.bars).flat_map(|bar| &bar.pieces);
    let found = pieces.filter_map(|piece| Some((piece, plan.roofs.get(piece.roof)?.trims.runs.get(piece.run)?)));
    let rows: Vec<_> = found
        .flat_map(|(piece, run)| piece_fixings(run, piece).into_iter().map(move |fixing| (piece, fixing)))
        .collect();
    Table(vec![
        ("mark", column(&rows, Text, |(piece, _)| piece.mark.clone())),
        ("at_mm", column(&rows, Number, |(_, fixing)| fixing.at.mm())),
        ("leg", column(&rows, Text, |(_, fixing)| word(fixing.leg))),
        ("turn", column(&rows, Index, |(_, fixing)| index(fixing.turn))),
        ("both", column(&rows, Flag, |(_, fixing)| fixing.both)),
    ])
}

fn templates(plan: &Plan) -> Table {
    use Column::{Index, Maybe, Number, Text};
    let rows: Vec<_> = plan.templates.iter().enumerate().collect();
    Table(vec![
        ("template", column(&rows, Index, |(i, _)| index(*i))),
        ("kind", column(&rows, Text, |(_, template)| template.kind.word().into())),
        ("end", column(&rows, Text, |(_, template)| word(template.end))),
        ("cut", column(&rows, Text, |(_, template)| word(template.cut))),
        ("interior_deg", column(&rows, Number, |(_, template)| template.interior_deg)),
        ("long_mm", column(&rows, Number, |(_, template)| template.development.long_point().mm())),
        ("short_mm", column(&rows, Number, |(_, template)| template.development.short_point().mm())),
        ("notches", column(&rows, Index, |(_, template)| index(template.notches.len()))),
        ("fold_mm", column(&rows, Maybe, |(_, template)| template.fold.map(upstand::Length::mm))),
        ("runs", column(&rows, Text, |(_, template)| template.runs.join(" "))),
    ])
}

/// The mark of every template, point by point.
fn marks(plan: &Plan) -> Table {
    use Column::{Index, Number};
    let templates = plan.templates.iter().enumerate();
    let rows: Vec<_> = templates.flat_map(|(i, one)| one.development.mark.iter().map(move |at| (i, at))).collect();
    Table(vec![
        ("template", column(&rows, Index, |(i, _)| index(*i))),
        ("girth_mm", column(&rows, Number, |(_, at)| at.0.mm())),
        ("along_mm", column(&rows, Number, |(_, at)| at.1.mm())),
    ])
}

fn facets(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let templates = plan.templates.iter().enumerate();
    let rows: Vec<_> = templates.flat_map(|(i, template)| facets_of(i, template)).collect();
    Table(vec![
        ("template", column(&rows, Index, |(i, _, _)| index(*i))),
        ("facet", column(&rows, Index, |(_, facet, _)| index(*facet))),
        ("leg", column(&rows, Text, |(_, _, cut)| word(cut.leg))),
        ("width_mm", column(&rows, Number, |(_, _, cut)| cut.width.mm())),
        ("mitre_deg", column(&rows, Number, |(_, _, cut)| cut.mitre_deg)),
        ("bevel_deg", column(&rows, Number, |(_, _, cut)| cut.bevel_deg)),
    ])
}

fn facets_of(i: usize, template: &EndTemplate) -> Vec<(usize, usize, FacetCut)> {
    template.development.facets.iter().enumerate().map(|(facet, &cut)| (i, facet, cut)).collect()
}

/// The outline of every notch, point by point.
fn notches(plan: &Plan) -> Table {
    use Column::{Index, Number};
    let notches = plan.templates.iter().enumerate().flat_map(|(i, one)| one.notches.iter().map(move |n| (i, n)));
    let rows: Vec<_> =
        notches.flat_map(|(i, notch)| notch.outline.iter().map(move |at| (i, notch.facet, at))).collect();
    Table(vec![
        ("template", column(&rows, Index, |(i, _, _)| index(*i))),
        ("facet", column(&rows, Index, |(_, facet, _)| index(*facet))),
        ("girth_mm", column(&rows, Number, |(_, _, at)| at.0.mm())),
        ("along_mm", column(&rows, Number, |(_, _, at)| at.1.mm())),
    ])
}

fn strips(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let strips = plan.roofs.iter().enumerate().flat_map(|(i, roof)| roof.mat.strips.iter().map(move |s| (i, s)));
    let rows: Vec<_> = strips.flat_map(|(i, strip)| strip.pieces.iter().map(move |piece| (i, strip, piece))).collect();
    Table(vec![
        ("roof", column(&rows, Index, |(i, _, _)| index(*i))),
        ("strip", column(&rows, Index, |(_, strip, _)| strip.number)),
        ("mark", column(&rows, Text, |(_, _, piece)| piece.mark.clone())),
        ("length_mm", column(&rows, Number, |(_, _, piece)| piece.length.mm())),
        ("width_mm", column(&rows, Number, |(_, _, piece)| piece.width.mm())),
        ("roll", column(&rows, Index, |(_, _, piece)| piece.roll)),
        ("area_m2", column(&rows, Number, |(_, _, piece)| piece.area_m2)),
    ])
}

/// One row for each layer of glass on each roof, and one for its primed deck.
fn areas(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let rows: Vec<_> = plan
        .roofs
        .iter()
        .enumerate()
        .flat_map(|(i, roof)| {
            let of = &roof.mat.areas;
            let layers = [
                ("bare_deck", of.bare_deck),
                ("mat", of.mat),
                ("tape", of.tape),
                ("patches", of.patches),
                ("collars", of.collars),
                ("tissue", of.tissue),
            ];
            layers.map(|(layer, m2)| (i, layer, m2))
        })
        .collect();
    Table(vec![
        ("roof", column(&rows, Index, |(i, _, _)| index(*i))),
        ("layer", column(&rows, Text, |(_, layer, _)| (*layer).to_string())),
        ("area_m2", column(&rows, Number, |(_, _, m2)| *m2)),
    ])
}

/// One row for each size of pack; a material without packs has one row without them.
fn takeoff(plan: &Plan) -> Table {
    use Column::{Index, Maybe, Number, Text};
    let mut rows = Vec::new();
    for line in &plan.takeoff {
        if line.packs.is_empty() {
            rows.push((line, None));
        }
        rows.extend(line.packs.iter().map(|pack| (line, Some(pack))));
    }
    Table(vec![
        ("material", column(&rows, Text, |(line, _)| line.material.clone())),
        ("name", column(&rows, Text, |(line, _)| line.name.clone())),
        ("unit", column(&rows, Text, |(line, _)| line.unit.clone())),
        ("net", column(&rows, Number, |(line, _)| line.net)),
        ("allowance", column(&rows, Number, |(line, _)| line.allowance)),
        ("pack_size", column(&rows, Maybe, |(_, pack)| pack.map(|pack| pack.size))),
        ("packs", column(&rows, Index, |(_, pack)| pack.map_or(0, |pack| pack.count))),
    ])
}

/// One row for each mix: what goes into it.
fn mixes(plan: &Plan) -> Table {
    use Column::{Index, Maybe, Number, Text};
    let rows: Vec<_> = plan
        .mixing
        .iter()
        .flat_map(|mixing| {
            mixing.mixes.iter().filter_map(move |mix| Some((mixing, mix, mixing.batches.get(mix.batch)?)))
        })
        .collect();
    Table(vec![
        ("layer", column(&rows, Text, |(mixing, _, _)| mixing.layer.clone())),
        ("stage", column(&rows, Text, |(mixing, _, _)| word(mixing.stage))),
        ("mix", column(&rows, Index, |(_, mix, _)| mix.number)),
        ("mass_kg", column(&rows, Number, |(_, _, batch)| batch.mass_kg)),
        ("hardener_g", column(&rows, Number, |(_, _, batch)| batch.hardener_g)),
        ("measures", column(&rows, Maybe, |(_, _, batch)| batch.measures)),
    ])
}

fn alternatives(plan: &Plan) -> Table {
    use Column::{Index, Maybe, Number, Text};
    let rows = &plan.alternatives;
    let units = |money: Option<upstand::Money>| money.map(|money| money.parts() as f64 / 10_000.0);
    Table(vec![
        ("name", column(rows, Text, |one| one.name.clone())),
        ("bars", column(rows, Index, |one| one.bars)),
        ("bars_m", column(rows, Number, |one| one.bars_m)),
        ("joints", column(rows, Index, |one| one.joints)),
        ("strips", column(rows, Index, |one| one.strips)),
        ("mat_m2", column(rows, Number, |one| one.mat_m2)),
        ("cost", column(rows, Maybe, |one| units(one.cost))),
    ])
}

/// The pieces of every layer in the order of laying, each with its layer and stage.
fn layers(plan: &Plan) -> Table {
    use Column::{Index, Number, Text};
    let rows: Vec<_> = plan.layers.iter().flat_map(|laid| laid.pieces.iter().map(move |piece| (laid, piece))).collect();
    Table(vec![
        ("layer", column(&rows, Text, |(laid, _)| laid.layer.clone())),
        ("stage", column(&rows, Text, |(laid, _)| word(laid.stage))),
        ("roof", column(&rows, Index, |(_, piece)| piece.roof as u64)),
        ("piece", column(&rows, Text, |(_, piece)| piece.piece.clone())),
        ("amount", column(&rows, Number, |(_, piece)| piece.amount)),
        ("unit", column(&rows, Text, |(laid, _)| laid.unit.clone())),
        ("kg", column(&rows, Number, |(_, piece)| piece.kg)),
    ])
}

/// What each stage costs, in units of the job's money.
fn stages(plan: &Plan) -> Table {
    use Column::{Maybe, MaybeText, Number, Text};
    let rows: Vec<_> = plan.costs.iter().flat_map(|costs| &costs.stages).collect();
    let units = |money: Option<upstand::Money>| money.map(|money| money.parts() as f64 / 10_000.0);
    Table(vec![
        ("stage", column(&rows, Text, |stage| word(stage.stage))),
        ("layer", column(&rows, MaybeText, |stage| stage.layer.clone())),
        ("person_hours", column(&rows, Number, |stage| stage.person_hours)),
        ("labour", column(&rows, Maybe, |stage| units(stage.labour))),
        ("materials", column(&rows, Maybe, |stage| units(stage.materials))),
        ("total", column(&rows, Maybe, |stage| units(stage.total))),
        ("per_m2", column(&rows, Maybe, |stage| units(stage.per_m2))),
    ])
}

/// Moments are texts as ISO 8601 has them, which data frames read as dates.
fn tasks(plan: &Plan) -> Table {
    use Column::{Index, MaybeText, Number, Text};
    let rows: Vec<_> = plan.schedule.iter().flat_map(|schedule| &schedule.tasks).collect();
    let moment = |moment: Option<upstand::calendar::Moment>| moment.map(|moment| moment.to_string());
    Table(vec![
        ("task", column(&rows, Index, |task| task.number)),
        ("name", column(&rows, Text, |task| task.name.clone())),
        ("stage", column(&rows, Text, |task| word(task.stage))),
        ("layer", column(&rows, MaybeText, |task| task.layer.clone())),
        ("amount", column(&rows, Number, |task| task.amount)),
        ("unit", column(&rows, Text, |task| task.unit.clone())),
        ("work_min", column(&rows, Index, |task| task.work_min)),
        ("begin", column(&rows, Text, |task| task.begin.to_string())),
        ("end", column(&rows, Text, |task| task.end.to_string())),
        ("not_before", column(&rows, MaybeText, |task| moment(task.not_before))),
        ("not_after", column(&rows, MaybeText, |task| moment(task.not_after))),
    ])
}

fn findings(plan: &Plan) -> Table {
    use Column::{Maybe, MaybeText, Text};
    let rows = &plan.findings;
    Table(vec![
        ("grade", column(rows, Text, |finding| grade(finding.grade).into())),
        ("code", column(rows, Text, |finding| finding.code.clone())),
        ("place", column(rows, Text, |finding| finding.place.clone())),
        ("value", column(rows, Maybe, |finding| finding.value)),
        ("limit", column(rows, Maybe, |finding| finding.limit)),
        ("unit", column(rows, MaybeText, |finding| finding.unit.clone())),
        ("basis", column(rows, Text, |finding| finding.basis.clone())),
        ("text", column(rows, Text, |finding| finding.text.clone())),
    ])
}
