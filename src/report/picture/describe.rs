//! The content of a picture in sentences, for who cannot see it.

use crate::report::number;
use crate::report::picture::data::Along;
use crate::report::picture::data::Axis;
use crate::report::picture::data::DistributionPicture;
use crate::report::picture::data::FrontierPicture;
use crate::report::picture::data::MapPicture;
use crate::report::picture::data::Moved;
use crate::report::picture::data::Stretch;
use crate::report::picture::data::SweepPicture;
use crate::report::picture::data::TornadoPicture;
use crate::report::picture::frame::NO_RECIPE;
use crate::report::picture::scale;

/// Digits of a number in a sentence.
const DIGITS: i32 = 4;

/// Digits of a small change.
const CHANGE_DIGITS: i32 = 3;

/// What a sweep shows.
#[must_use]
pub fn sweep(picture: &SweepPicture) -> String {
    let mut told = vec![format!(
        "{} against {}{}.",
        picture.goal.words(),
        picture.x.words(),
        reach(&picture.along, &picture.x)
    )];
    told.push(values(picture.goal_values.iter().copied(), &picture.goal));
    let names = picture.components.iter().map(|c| c.name.clone());
    told.extend(list("Treat rates of: ", names));
    let marks = picture.marks.iter().map(|mark| {
        let stretches = mark.stretches.iter();
        let at: Vec<String> = stretches
            .map(|s| scale::stretch(&picture.along, &picture.x, *s))
            .collect();
        format!("{} ({})", mark.label, at.join(", "))
    });
    told.extend(list("Limits that bind: ", marks));
    let gaps = picture
        .gaps
        .iter()
        .map(|gap| scale::stretch(&picture.along, &picture.x, gap.stretch));
    told.extend(list("No recipe: ", gaps));
    told.join(" ")
}

/// What a map shows.
#[must_use]
pub fn map(picture: &MapPicture) -> String {
    let mut told = vec![format!(
        "{} as colour, against {}{} and {}{}.",
        picture.goal.words(),
        picture.x.words(),
        reach(&picture.along_x, &picture.x),
        picture.y.words(),
        reach(&picture.along_y, &picture.y),
    )];
    told.push(values(picture.cells.iter().map(|c| c.goal), &picture.goal));
    told.extend(list("Regions: ", picture.regions.iter().cloned()));
    told.join(" ")
}

/// What a frontier shows.
#[must_use]
pub fn frontier(picture: &FrontierPicture) -> String {
    let mut told = vec![format!(
        "{} against {}, {} recipes of which none is beaten in both.",
        picture.y.words(),
        picture.x.words(),
        picture.points.len()
    )];
    told.extend(ends(picture));
    told.join(" ")
}

/// The two ends of a frontier, each in a sentence.
#[must_use]
pub fn ends(picture: &FrontierPicture) -> Vec<String> {
    let ends = [picture.points.first(), picture.points.last()];
    let told = picture.ends.iter().zip(ends).filter_map(|(name, point)| {
        let point = point?;
        let with =
            |value: f64, axis: &Axis| format!("{} {} {}", axis.label, short(value), axis.unit);
        let (x, y) = (with(point.x, &picture.x), with(point.y, &picture.y));
        Some(format!("{name}: {}, {}.", x.trim_end(), y.trim_end()))
    });
    told.collect()
}

/// What a tornado shows.
#[must_use]
pub fn tornado(picture: &TornadoPicture) -> String {
    let mut told = vec![format!("{}.", picture.axis.words())];
    let places = change_places(picture);
    let effect = |moved: &Moved| format!("{} {}", moved.to, change(moved.effect, places));
    for bar in &picture.bars {
        let moves = picture.ways.iter().zip(&bar.moves);
        let moves: Vec<String> = moves
            .filter_map(|(way, moved)| Some(format!("{way} to {}", effect(moved.as_ref()?))))
            .collect();
        told.push(format!("{}: {}.", bar.label, moves.join(", ")));
    }
    told.join(" ")
}

/// What distributions show.
#[must_use]
pub fn distribution(picture: &DistributionPicture) -> String {
    let panels = picture.panels.iter().map(|panel| {
        let limits = [&panel.min, &panel.max].into_iter().flatten();
        let limits: Vec<&str> = limits.map(|l| l.words.as_str()).collect();
        format!(
            "{}, {}: {}.",
            panel.axis.words(),
            limits.join(", "),
            panel.pass
        )
    });
    let together = (!picture.together.is_empty()).then(|| picture.together.clone());
    panels.chain(together).collect::<Vec<_>>().join(" ")
}

/// Decimals that the changes of a tornado share: three digits of the greatest.
#[must_use]
pub fn change_places(picture: &TornadoPicture) -> i32 {
    let moves = picture.bars.iter().flat_map(|b| b.moves.iter().flatten());
    let effects = moves.filter_map(|m| m.effect).filter(|e| e.is_finite());
    let most = effects.fold(0.0, |most: f64, e| most.max(e.abs()));
    (CHANGE_DIGITS - 1 - scale::power(most)).clamp(-12, 12)
}

/// A change in words, its sign always told: `+0.120`, `0`, `no recipe`. One too small for the
/// decimals shows its first digit.
#[must_use]
pub fn change(effect: Option<f64>, places: i32) -> String {
    match effect.filter(|e| e.is_finite()) {
        None => NO_RECIPE.into(),
        Some(effect) => {
            let mut words = number::fixed(effect, places);
            let nothing = |words: &str| words.chars().all(|c| matches!(c, '0' | '.' | '-'));
            if nothing(&words) {
                words = number::digits(effect, 1);
            }
            if nothing(&words) {
                "0".into()
            } else if effect > 0.0 {
                format!("+{words}")
            } else {
                scale::signed(&words)
            }
        }
    }
}

fn reach(along: &Along, axis: &Axis) -> String {
    match along {
        Along::Numbers(numbers) => match scale::ends(numbers.iter().copied()) {
            None => String::new(),
            Some((from, to)) => {
                let stretch = Stretch { from, to };
                format!(" {}", scale::stretch(along, axis, stretch))
            }
        },
        Along::Words(words) => format!(" at {}", words.join(", ")),
    }
}

fn values(values: impl Iterator<Item = Option<f64>>, axis: &Axis) -> String {
    match scale::ends(values.flatten()) {
        None => "There is no recipe.".into(),
        Some((low, high)) => format!(
            "The {} lies from {} to {} {}.",
            axis.label,
            short(low),
            short(high),
            axis.unit
        ),
    }
}

fn short(value: f64) -> String {
    scale::signed(&number::digits(value, DIGITS))
}

fn list(head: &str, items: impl Iterator<Item = String>) -> Option<String> {
    let items: Vec<String> = items.collect();
    (!items.is_empty()).then(|| format!("{head}{}.", items.join("; ")))
}
