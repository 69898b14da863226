//! The part of JSON Schema that our schemas use. A keyword that is not known here is an error, so that no schema can pass by
//! saying something this does not look at.

use serde_json::Value;

/// What of a value does not fit a schema; empty if it fits.
pub(crate) fn misfits(value: &Value, schema: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    fits(value, schema, schema, "$", &mut wrong);
    wrong
}

/// A TOML text as JSON, dates as texts.
pub(crate) fn json(text: &str) -> Option<Value> {
    fn of(value: toml::Value) -> Value {
        match value {
            toml::Value::String(s) => Value::String(s),
            toml::Value::Integer(i) => Value::from(i),
            toml::Value::Float(f) => Value::from(f),
            toml::Value::Boolean(b) => Value::Bool(b),
            toml::Value::Datetime(d) => Value::String(d.to_string()),
            toml::Value::Array(items) => Value::Array(items.into_iter().map(of).collect()),
            toml::Value::Table(table) => Value::Object(table.into_iter().map(|(k, v)| (k, of(v))).collect()),
        }
    }
    text.parse::<toml::Table>().ok().map(|table| of(toml::Value::Table(table)))
}

const KNOWN: [&str; 13] = [
    "$schema",
    "$id",
    "$defs",
    "$ref",
    "title",
    "description",
    "type",
    "enum",
    "anyOf",
    "properties",
    "required",
    "additionalProperties",
    "items",
];

fn fits(value: &Value, schema: &Value, root: &Value, at: &str, wrong: &mut Vec<String>) {
    for keyword in schema.as_object().into_iter().flat_map(|o| o.keys()) {
        assert!(KNOWN.contains(&keyword.as_str()), "{at}: the keyword `{keyword}` is not looked at");
    }
    if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
        let target = root.pointer(name.trim_start_matches('#')).unwrap_or_else(|| panic!("{name} is not in the schema"));
        return fits(value, target, root, at, wrong);
    }
    if let Some(kinds) = schema.get("type") {
        let kinds: Vec<&str> =
            kinds.as_array().map_or_else(|| vec![kinds.as_str().unwrap_or("")], |k| k.iter().filter_map(Value::as_str).collect());
        let kind = match value {
            Value::Null => "null",
            Value::Bool(_) => "boolean",
            Value::Number(n) if n.is_i64() || n.is_u64() => "integer",
            Value::Number(_) => "number",
            Value::String(_) => "string",
            Value::Array(_) => "array",
            Value::Object(_) => "object",
        };
        if !(kinds.contains(&kind) || kind == "integer" && kinds.contains(&"number")) {
            wrong.push(format!("{at} is {kind}, not {kinds:?}"));
            return;
        }
    }
    if let Some(choices) = schema.get("enum").and_then(Value::as_array)
        && !choices.contains(value)
    {
        wrong.push(format!("{at} is {value}, not one of {choices:?}"));
    }
    if let Some(any) = schema.get("anyOf").and_then(Value::as_array) {
        let tried: Vec<Vec<String>> = any
            .iter()
            .map(|s| {
                let mut wrong = Vec::new();
                fits(value, s, root, at, &mut wrong);
                wrong
            })
            .collect();
        if tried.iter().all(|w| !w.is_empty()) {
            wrong.push(format!("{at} fits none of {} shapes: {:?}", any.len(), tried.concat()));
        }
    }
    if let (Some(items), Some(array)) = (schema.get("items"), value.as_array()) {
        array.iter().enumerate().for_each(|(i, v)| fits(v, items, root, &format!("{at}[{i}]"), wrong));
    }
    if let Some(object) = value.as_object() {
        let properties = schema.get("properties").and_then(Value::as_object);
        for (key, v) in object {
            match (properties.and_then(|p| p.get(key)), schema.get("additionalProperties")) {
                (Some(part), _) => fits(v, part, root, &format!("{at}.{key}"), wrong),
                (None, Some(Value::Bool(false))) => wrong.push(format!("{at} has `{key}`, which the schema does not know")),
                (None, Some(more @ Value::Object(_))) => fits(v, more, root, &format!("{at}.{key}"), wrong),
                (None, _) => {}
            }
        }
        for key in schema.get("required").and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str) {
            if !object.contains_key(key) {
                wrong.push(format!("{at} has no `{key}`"));
            }
        }
    }
}
