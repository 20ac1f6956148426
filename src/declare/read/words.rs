//! Fixed words and names: which are known, which is nearest to a misspelt one.

use super::tree::{Node, Table};
use crate::fault::{Code, Fault, Place};

/// A word further than this share of its length from every known one gets no suggestion.
const LARGEST_DISTANCE: f64 = 0.25;

/// How many known words a fault lists before it stops.
const LISTED: usize = 14;

/// What the trade also calls a property, and its key here.
const TRADE_WORDS: [(&str, &str); 12] = [
    ("tbn", "base-number"),
    ("bn", "base-number"),
    ("tan", "acid-number"),
    ("an", "acid-number"),
    ("sulfated-ash", "ash"),
    ("sulphated-ash", "ash"),
    ("evaporation", "noack"),
    ("volatility", "noack"),
    ("moly", "mo"),
    ("viscosity-index", "vi"),
    ("flash-point", "flash"),
    ("flashpoint", "flash"),
];

/// The known word nearest to a misspelt one, where one is near.
pub(super) fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    // A hostile file may hold a key of a megabyte; no such key is a slip of the pen.
    if word.len() > 64 {
        return None;
    }
    let word = word.to_lowercase();
    let mut known = known.into_iter();
    if let Some((_, key)) = TRADE_WORDS.iter().find(|(trade, _)| *trade == word) {
        return known.find(|k| k == key);
    }
    let (distance, best) = known
        .map(|k| (strsim::osa_distance(&word, &k.to_lowercase()), k))
        .min_by_key(|(distance, _)| *distance)?;
    #[expect(clippy::cast_precision_loss, reason = "words are short")]
    let near = distance as f64 <= (word.chars().count() as f64 * LARGEST_DISTANCE).max(1.0);
    near.then_some(best)
}

/// ``did you mean `x`?``, or the list of what may stand here.
pub(super) fn suggestion<'k>(
    word: &str,
    known: impl IntoIterator<Item = &'k str> + Clone,
) -> String {
    if let Some(near) = nearest(word, known.clone()) {
        return format!("did you mean `{near}`?");
    }
    let mut list: Vec<String> = known.into_iter().map(|k| format!("`{k}`")).collect();
    let all = list.len();
    list.truncate(LISTED);
    let more = if all > LISTED { ", …" } else { "" };
    format!("known here: {}{more}", list.join(", "))
}

/// A text shortened for a title.
pub(super) fn short(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut kept: String = text.chars().take(LONGEST).collect();
    if text.chars().nth(LONGEST).is_some() {
        kept.push('…');
    }
    kept.escape_debug().to_string().replace("\\'", "'")
}

/// The choice that a text names, with a fault that suggests the nearest where it names none.
pub(super) fn choice<T: Copy>(
    node: Node<'_>,
    what: &str,
    all: &[T],
    key: impl Fn(T) -> &'static str,
    faults: &mut Vec<Fault>,
) -> Option<T> {
    let text = node.text(what, faults)?;
    let found = all.iter().copied().find(|t| key(*t) == text);
    if found.is_none() {
        faults.push(
            Fault::at(
                Code::UnknownWord,
                format!("{what} does not know the word `{}`", short(text)),
                node.place(),
                "",
            )
            .help(suggestion(text, all.iter().map(|t| key(*t)))),
        );
    }
    found
}

/// A fault for each key of a table that is not among the known.
pub(super) fn only(table: &Table<'_>, what: &str, known: &[&str], faults: &mut Vec<Fault>) {
    for item in &table.items {
        if !known.contains(&item.key) {
            faults.push(
                Fault::at(
                    Code::UnknownKey,
                    format!("{what} has no key `{}`", short(item.key)),
                    item.key_place.clone(),
                    "",
                )
                .help(suggestion(item.key, known.iter().copied())),
            );
        }
    }
}

/// Whether a name is lower-case letters, digits and hyphens; a fault with the edit where it is not.
pub(super) fn sound_name(name: &str, what: &str, place: &Place, faults: &mut Vec<Fault>) -> bool {
    let sound = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if !name.is_empty() && name.len() <= 64 && name.chars().all(sound) {
        return true;
    }
    let mended: String = name
        .to_lowercase()
        .chars()
        .map(|c| if sound(c) { c } else { '-' })
        .take(64)
        .collect();
    let mended = mended.trim_matches('-').to_owned();
    let fault = Fault::at(
        Code::BadName,
        format!("{what} must be lower-case letters, digits and hyphens"),
        place.clone(),
        "",
    );
    faults.push(if mended.is_empty() {
        fault.help("write something like `pao-4`")
    } else {
        fault.help(format!("write `{mended}`"))
    });
    false
}
