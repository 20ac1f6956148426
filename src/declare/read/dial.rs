//! A dial from its path: `limits.p.max`.

use super::component::no_such;
use super::named::{NOWHERE, sentence};
use super::words::{nearest, short, suggestion};
use crate::declare::component::Component;
use crate::declare::dial::{Aim, Dial, PolymerPart};
use crate::declare::problem::{Problem, Side};
use crate::declare::property::Datum;
use crate::quantity::Celsius;

/// What a path may be, for one that is not.
const KINDS: &str = "a path is `limits.p.max`, `limits.ccs@-30.max`, `treat.pao-4.max` (or min, exactly, \
     if-used), `shelf.pao-4.price` (or any figure of a component or its polymer), `batch`, `grade`, \
     `class` or `rules.at-most`";

/// The dial that a path names.
///
/// # Errors
/// A sentence with the nearest path, or with the kinds of path that there are.
pub fn dial(problem: &Problem, path: &str) -> Result<Dial, String> {
    let aim = match path {
        "batch" => Aim::Batch,
        "grade" => Aim::Grade,
        "class" => Aim::Class,
        "rules.at-most" => Aim::AtMost,
        _ => match path.split_once('.') {
            Some(("limits", rest)) => limit(problem, rest)?,
            Some(("treat", rest)) => treat(problem, rest)?,
            Some(("shelf", rest)) => figure(problem, rest)?,
            _ => return Err(unknown(problem, path)),
        },
    };
    Ok(Dial {
        path: path.to_owned(),
        aim,
    })
}

fn unknown(problem: &Problem, path: &str) -> String {
    let head = path.split('.').next().unwrap_or("");
    let roots = [
        "limits",
        "treat",
        "shelf",
        "rules.at-most",
        "batch",
        "grade",
        "class",
    ];
    // A path without its first word is the likeliest slip.
    let whole = ["limits", "treat", "shelf"]
        .into_iter()
        .map(|root| format!("{root}.{path}"))
        .find(|whole| path.contains('.') && dial(problem, whole).is_ok());
    let near = whole.or_else(|| {
        let near = nearest(head, roots).or_else(|| nearest(path, roots))?;
        let rest = path.strip_prefix(head).unwrap_or("");
        Some(if near.contains('.') || rest.is_empty() {
            near.to_owned()
        } else {
            format!("{near}{rest}")
        })
    });
    let help = match near {
        Some(near) => format!("did you mean `{near}`? {KINDS}"),
        None => KINDS.to_owned(),
    };
    format!("there is no path `{}`: {help}", short(path))
}

fn limit(problem: &Problem, rest: &str) -> Result<Aim, String> {
    let (key, word) = match rest.rsplit_once('.') {
        Some((key, word)) if word.parse::<f64>().is_err() => (key, word),
        _ => (rest, ""),
    };
    let key = key.trim_matches('"');
    let property = super::named::property(problem, key)?;
    let sides = sides(word).ok_or_else(|| {
        let written = short(rest);
        if word.is_empty() {
            format!("`limits.{written}` does not say which way: write `limits.{written}.max`, `.min` or `.exactly`")
        } else {
            format!(
                "`limits.{written}` ends in no bound: {}",
                suggestion(word, ["min", "max", "exactly"])
            )
        }
    })?;
    Ok(Aim::Limit(property, sides))
}

fn sides(word: &str) -> Option<Vec<Side>> {
    match word {
        "min" => Some(vec![Side::Min]),
        "max" => Some(vec![Side::Max]),
        "exactly" => Some(vec![Side::Min, Side::Max]),
        _ => None,
    }
}

fn component(problem: &Problem, id: &str, path: &str) -> Result<usize, String> {
    problem.component(id).ok_or_else(|| {
        let ids: Vec<&str> = problem.components.iter().map(|c| c.id.as_str()).collect();
        sentence(&no_such(id, &format!("`{}`", short(path)), NOWHERE, &ids))
    })
}

fn treat(problem: &Problem, rest: &str) -> Result<Aim, String> {
    let path = format!("treat.{rest}");
    let (id, word) = rest.split_once('.').unwrap_or((rest, ""));
    let component = component(problem, id, &path)?;
    if word == "if-used" {
        return Ok(Aim::IfUsed(component));
    }
    sides(word)
        .map(|sides| Aim::Treat(component, sides))
        .ok_or_else(|| {
            let known = ["min", "max", "exactly", "if-used"];
            format!(
                "`{}` names no edge of a treat band: {}",
                short(&path),
                suggestion(word, known)
            )
        })
}

fn figure(problem: &Problem, rest: &str) -> Result<Aim, String> {
    let path = format!("shelf.{rest}");
    let (id, key) = rest.split_once('.').unwrap_or((rest, ""));
    let j = component(problem, id, &path)?;
    let key = key.strip_prefix("polymer.").unwrap_or(key);
    if let Some(part) = PolymerPart::ALL.into_iter().find(|p| p.key() == key) {
        return if problem.components[j].polymer.is_some() {
            Ok(Aim::Polymer(j, part))
        } else {
            Err(format!(
                "`{id}` has no polymer, so there is no `{}`",
                short(&path)
            ))
        };
    }
    let datum = datum(problem, key)
        .ok_or_else(|| no_figure(problem, &problem.components[j], key, &path))?;
    if datum == Datum::Stock && problem.batch.is_none() {
        return Err(format!(
            "`{path}` limits what a batch can hold, and this problem gives no `batch`: add `batch = \"20 kg\"` to it"
        ));
    }
    Ok(Aim::Figure(j, datum))
}

fn datum(problem: &Problem, key: &str) -> Option<Datum> {
    if let Some((test, at)) = key.replace('"', "").split_once('@') {
        let t: f64 = at.parse().ok().filter(|t| (-60.0..=0.0).contains(t))?;
        let t = Celsius::from_degrees(t)?;
        return match test {
            "ccs" => Some(Datum::Ccs(t)),
            "mrv" => Some(Datum::Mrv(t)),
            _ => None,
        };
    }
    let own = problem.user(key).map(|p| Datum::User(p.name.clone()));
    Datum::of_key(key).or(own)
}

fn no_figure(problem: &Problem, component: &Component, key: &str, path: &str) -> String {
    let help = if ["ccs", "mrv"].contains(&key) {
        format!("name the test temperature: `{path}@-35`")
    } else if ["treat", "treat.min", "treat.max"].contains(&key) {
        format!("write `treat.{}.max` for its treat band", component.id)
    } else {
        let mut known: Vec<String> = component.figures.keys().map(Datum::key).collect();
        known.retain(|k| !k.contains(' '));
        known.extend(problem.properties.iter().map(|p| p.name.clone()));
        if component.polymer.is_some() {
            known.extend(PolymerPart::ALL.iter().map(|p| p.key().to_owned()));
        }
        suggestion(key, known.iter().map(String::as_str))
    };
    format!(
        "`{}` names no figure of `{}`: {help}",
        short(path),
        component.id
    )
}
