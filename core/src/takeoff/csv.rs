//! The order list as comma-separated values (RFC 4180), for a spreadsheet or a merchant's mail.

use super::TakeoffLine;

/// The columns.
const HEADER: &str = "material,name,unit,net,allowance,on hand,pack size,packs,bought,cost\r\n";

/// The order list as CSV text: one row for each size of pack, one for a line with nothing to buy. Lines end in CR LF, a
/// field with a comma, a quote or a line break is quoted, numbers have a decimal point. The cost of a line stands in its
/// first row.
pub fn order_csv(lines: &[TakeoffLine]) -> String {
    let mut text = HEADER.to_string();
    for line in lines {
        let head = format!(
            "{},{},{},{},{},{}",
            field(&line.material),
            field(&line.name),
            field(&line.unit),
            line.net,
            line.allowance,
            line.on_hand
        );
        if line.packs.is_empty() {
            text += &format!("{head},,,,\r\n");
        }
        for (i, pack) in line.packs.iter().enumerate() {
            let bought = (pack.size * pack.count as f64 * 1e6).round() / 1e6;
            let cost = if i == 0 { line.cost.map(|cost| cost.to_string()) } else { None };
            text += &format!("{head},{},{},{bought},{}\r\n", pack.size, pack.count, cost.unwrap_or_default());
        }
    }
    text
}

fn field(text: &str) -> String {
    if text.contains([',', '"', '\r', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.into() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::money::Money;
    use crate::takeoff::PackCount;

    #[test]
    fn rows_follow_packs_and_fields_are_quoted() {
        let line = |material: &str, name: &str, packs: &[(f64, u64)], cost| TakeoffLine {
            material: material.into(),
            name: name.into(),
            unit: "kg".into(),
            formula: String::new(),
            inputs: Vec::new(),
            net: 28.35,
            allowance: 2.835,
            on_hand: 0.5,
            packs: packs.iter().map(|&(size, count)| PackCount { size, count }).collect(),
            cost,
        };
        let lines = [
            line("resin", "resin, \"slow\"", &[(20.0, 1), (5.1, 3)], Some(Money::from_parts(1_234_500))),
            line("flashing", "flashing", &[], None),
        ];
        assert_eq!(
            order_csv(&lines),
            "material,name,unit,net,allowance,on hand,pack size,packs,bought,cost\r\n\
             resin,\"resin, \"\"slow\"\"\",kg,28.35,2.835,0.5,20,1,20,123.45\r\n\
             resin,\"resin, \"\"slow\"\"\",kg,28.35,2.835,0.5,5.1,3,15.3,\r\n\
             flashing,flashing,kg,28.35,2.835,0.5,,,,\r\n"
        );
    }
}
