//! The committed JSON Schemas are what the types generate. `UPDATE_SCHEMA=1 cargo test -p upstand-tests --test schema`
//! writes them anew. That every vector keeps to them is tested in Python, with a validator that is not ours.

use std::fs;
use std::path::Path;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Value, json};
use upstand::cutting::{Answer, Problem};
use upstand::record::{Record, Report};
use upstand::survey::{Adjusted, Network};
use upstand::{Job, Plan};

/// The schema of a document kind: of what is read, or of what is written.
fn schema<T: JsonSchema>(kind: &str, title: &str, read: bool) -> Value {
    let settings = SchemaSettings::draft2020_12();
    let settings = if read { settings.for_deserialize() } else { settings.for_serialize() };
    let mut schema = settings.into_generator().into_root_schema_for::<T>().to_value();
    schema["title"] = title.into();
    // The field that says what the document is must be there, also where the type leaves it to the reader.
    schema["properties"]["schema"] = json!({"type": "string", "const": kind, "description": "The kind of document."});
    let mut required = vec![json!("schema")];
    required.extend(schema["required"].as_array().into_iter().flatten().filter(|name| *name != "schema").cloned());
    schema["required"] = required.into();
    schema
}

fn holds(name: &str, schema: &Value) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../core/schema/{name}.schema.json"));
    let text = serde_json::to_string_pretty(schema).expect("a schema is JSON") + "\n";
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        fs::write(&path, &text).expect("writable");
    }
    let committed = fs::read_to_string(&path).unwrap_or_default();
    assert!(committed == text, "core/schema/{name}.schema.json differs from the types: run with UPDATE_SCHEMA=1");
    assert_eq!(schema["additionalProperties"], false, "{name} is read strictly");
}

#[test]
fn committed_schemas_are_what_the_types_generate() {
    holds("job", &schema::<Job>("upstand/job/1", "Job", true));
    holds("plan", &schema::<Plan>("upstand/plan/1", "Plan", false));
    holds("network", &schema::<Network>("upstand/network/1", "Network of tape measurements", true));
    holds("adjusted", &schema::<Adjusted>("upstand/adjusted/1", "Adjusted network", false));
    holds("record", &schema::<Record>("upstand/record/1", "Record", true));
    holds("report", &schema::<Report>("upstand/report/1", "Hand-over report", false));
    holds("cutting", &schema::<Problem>("upstand/cutting/1", "Cutting problem", true));
    holds("cut_list", &schema::<Answer>("upstand/cut_list/1", "Cut list", false));
}
