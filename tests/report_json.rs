//! The JSON answers: keys, order, and what is `null`.

mod bench;

use serde_json::Value;
use treatrate::report::json::answer;

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

fn keys(value: &Value) -> Vec<&str> {
    let object = value.as_object().expect("an object");
    object.keys().map(String::as_str).collect()
}

#[test]
fn solve_keeps_its_keys_and_their_order() {
    let problem = bench::problem();
    let text = answer::solve(&problem, &bench::found(&problem)).expect("JSON");
    assert!(text.ends_with("}\n"));
    let json = parsed(&text);
    assert_eq!(
        keys(&json),
        [
            "schema",
            "status",
            "proof",
            "objective",
            "recipe",
            "properties",
            "limits",
            "rules",
            "contributions",
            "confidence",
            "left_out",
            "bought",
            "conflict",
            "alternatives",
            "warnings"
        ]
    );
    assert_eq!(json["schema"], 1);
    assert_eq!(json["status"], "feasible");
    assert_eq!(keys(&json["proof"]), ["kind", "bound", "gap", "words"]);
    assert_eq!(keys(&json["objective"]), ["name", "value", "unit"]);
    assert_eq!(json["objective"]["unit"], "EUR/kg");
    assert_eq!(
        keys(&json["recipe"][0]),
        ["component", "mass_percent", "cost_share"]
    );
    assert_eq!(
        keys(&json["properties"]),
        [
            "cost", "kv100", "ccs@-30", "p", "noack", "density", "mo", "na"
        ]
    );
    assert_eq!(
        keys(&json["properties"]["noack"]),
        ["value", "unit", "sd", "estimated"]
    );
    assert_eq!(json["properties"]["noack"]["estimated"], true);
    assert_eq!(
        keys(&json["limits"][0]),
        [
            "property",
            "side",
            "bound",
            "stated",
            "strict",
            "value",
            "unit",
            "margin",
            "binding",
            "source",
            "pass_probability",
            "price"
        ]
    );
    for absent in ["contributions", "left_out", "conflict"] {
        assert!(json[absent].is_null(), "{absent}");
    }
    assert_eq!(keys(&json["warnings"][0]), ["code", "words"]);
}

#[test]
fn rates_are_not_rounded() {
    let problem = bench::problem();
    let text = answer::solve(&problem, &bench::found(&problem)).expect("JSON");
    let json = parsed(&text);
    let recipe = json["recipe"].as_array().expect("a list");
    let rate = |i: usize| recipe[i]["mass_percent"].as_f64().expect("a number");
    let sum: f64 = (0..recipe.len()).map(rate).sum();
    assert_eq!(recipe.len(), 4);
    assert!((sum - 100.0).abs() < 1e-12);
    assert!((rate(0) - 100.0 / 3.0).abs() < 1e-12);
}

#[test]
fn a_refusal_names_its_parties() {
    let problem = bench::problem();
    let json = parsed(&answer::solve(&problem, &bench::none()).expect("JSON"));
    assert_eq!(json["status"], "no-recipe");
    for absent in ["recipe", "properties", "limits", "rules"] {
        assert!(json[absent].is_null(), "{absent}");
    }
    assert!(json["objective"]["value"].is_null());
    let parties = json["conflict"].as_array().expect("a list");
    let told: Vec<String> = parties
        .iter()
        .map(|p| format!("{} {} {}", p["property"], p["side"], p["source"]).replace('"', ""))
        .collect();
    assert_eq!(
        told,
        [
            "p min problem",
            "ash max ACEA C3 (from memory)",
            "treat:package-a max stock",
            "total exactly every recipe"
        ]
    );
}

#[test]
fn predict_shares_the_parts() {
    let problem = bench::problem();
    let recipe = bench::recipe(&problem);
    let fails = answer::predict(&problem, &recipe, &bench::failing()).expect("JSON");
    let passes = answer::predict(&problem, &recipe, &bench::passing()).expect("JSON");
    let (fails, passes) = (parsed(&fails), parsed(&passes));
    assert_eq!(
        keys(&fails),
        [
            "schema",
            "status",
            "recipe",
            "properties",
            "limits",
            "rules",
            "contributions",
            "confidence",
            "warnings"
        ]
    );
    assert_eq!(fails["status"], "fails");
    assert_eq!(passes["status"], "passes");
    let solved = bench::found(&problem);
    let solved = parsed(&answer::solve(&problem, &solved).expect("JSON"));
    for part in ["recipe", "properties", "limits", "rules"] {
        assert_eq!(passes[part], solved[part], "{part}");
    }
}

#[test]
fn a_recipe_that_fails_its_own_judgement_decides_nothing() {
    let problem = bench::problem();
    let answer = treatrate::solve::answer::Answer {
        judgement: Some(bench::failing()),
        ..bench::proved(&problem)
    };
    let json = parsed(&answer::solve(&problem, &answer).expect("JSON"));
    assert_eq!(json["status"], "undecided");
    let attempt = answer::solve(&problem, &bench::undecided(&problem)).expect("JSON");
    assert_eq!(parsed(&attempt)["status"], "undecided");
}
