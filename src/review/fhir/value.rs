//! What was found, as the value of an Observation and its components.

use serde_json::{Value, json};

use super::codes::{Codes, UCUM, hl7_code};
use super::observation::degrees;
use crate::finding::{Finding, Pain};

/// Sets the value, if what was found has one; everything else is a component.
pub fn set_value(observation: &mut Value, codes: &Codes<'_>, finding: &Finding) {
    if let Some(found) = &finding.degrees {
        match found.from {
            Some(from) => {
                let (low, high) = (from.min(found.to), from.max(found.to));
                observation["valueRange"] = json!({ "low": degrees(low), "high": degrees(high) });
            }
            None => observation["valueQuantity"] = degrees(found.to),
        }
    } else if let Some(girth) = finding.girth_cm {
        observation["valueQuantity"] =
            json!({ "value": girth, "unit": "centimetres", "system": UCUM, "code": "cm" });
    } else if let Some(result) = &finding.result {
        observation["valueCodeableConcept"] = codes.own("result", &[result], result);
        // From memory, so that the name which HL7 gives them stays out.
        let letters = match result.as_str() {
            "positive" => Some("POS"),
            "negative" => Some("NEG"),
            _ => None,
        };
        if let Some(letters) = letters {
            let coding = hl7_code("v3-ObservationInterpretation", letters);
            observation["interpretation"] = json!([{ "coding": [coding], "text": result }]);
        }
    } else if let Some(text) = &finding.text {
        observation["valueString"] = json!(text);
    } else if let Some(range) = &finding.range {
        observation["valueCodeableConcept"] = codes.own("range", &[range], &format!("{range} range"));
    } else if let Some(power) = &finding.power {
        observation["valueCodeableConcept"] = codes.own("power", &[power], power);
    }
}

/// What has no meaning without the rest.
pub fn components(codes: &Codes<'_>, finding: &Finding) -> Vec<Value> {
    let mut all = Vec::new();
    let has_value = finding.degrees.is_some();
    let named = [
        ("end-feel", "end-feel", "End feel", &finding.end_feel),
        ("level", "level", "Level", &finding.level),
    ];
    for (what, system, text, value) in named {
        if let Some(value) = value {
            all.push(component(codes, what, text, codes.own(system, &[value], value)));
        }
    }
    if let Some(range) = finding.range.as_ref().filter(|_| has_value) {
        let value = codes.own("range", &[range], &format!("{range} range"));
        all.push(component(codes, "range", "Range in words", value));
    }
    if let Some(power) = finding
        .power
        .as_ref()
        .filter(|_| has_value || finding.range.is_some())
    {
        all.push(component(
            codes,
            "power",
            "Power",
            codes.own("power", &[power], power),
        ));
    }
    if let Some(pain) = &finding.pain {
        all.extend(pain_components(codes, pain));
    }
    if let Some(laxity) = finding.laxity {
        all.push(json!({
            "code": codes.own("qualifier", &["laxity"], "Laxity, 0 to 3"),
            "valueInteger": laxity,
        }));
    }
    for sign in &finding.signs {
        all.push(component(codes, "sign", "Sign", codes.own("sign", &[sign], sign)));
    }
    if let Some(text) = finding
        .text
        .as_ref()
        .filter(|_| finding.result.is_some() || has_value)
    {
        all.push(json!({ "code": codes.own("qualifier", &["words"], "In words"), "valueString": text }));
    }
    all
}

fn component(codes: &Codes<'_>, what: &str, text: &str, value: Value) -> Value {
    json!({ "code": codes.own("qualifier", &[what], text), "valueCodeableConcept": value })
}

fn pain_components(codes: &Codes<'_>, pain: &Pain) -> Vec<Value> {
    let mut all = vec![json!({
        "code": codes.own("qualifier", &["pain-on-movement"], "Painful"),
        "valueBoolean": pain.felt,
    })];
    if let Some(when) = &pain.when {
        all.push(component(
            codes,
            "pain-timing",
            "When it hurts",
            codes.own("pain-timing", &[when], when),
        ));
    }
    if let Some(arc) = &pain.arc {
        let (low, high) = (arc.from.min(arc.to), arc.from.max(arc.to));
        all.push(json!({
            "code": codes.own("qualifier", &["painful-arc"], "Where it hurts"),
            "valueRange": { "low": degrees(low), "high": degrees(high) },
        }));
    }
    all
}
