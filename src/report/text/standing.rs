//! What many recipes stand on, lettered: a letter for each limit, so that a table can show it in a few
//! characters.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::report::bound::Bound;
use crate::report::keys;
use crate::report::number;
use crate::report::rules;
use crate::report::words;
use crate::solve::answer::Party;
use crate::study::sweep::row::Row;

/// The letters, in their order.
const LETTERS: &str = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";

/// One requirement on which some of the recipes stand.
#[derive(Debug, Clone)]
pub struct Entry {
    party: Party,
    /// Whether its number is not the same everywhere.
    moves: bool,
    points: usize,
}

/// What some rows stand on.
#[derive(Debug, Clone)]
pub struct Legend {
    /// On which all that have a recipe stand.
    pub always: Vec<Entry>,
    /// On which only some do, in the order in which they come up.
    pub some: Vec<Entry>,
}

impl Legend {
    /// Of the rows.
    #[must_use]
    pub fn of(rows: &[Row]) -> Self {
        let mut all: Vec<Entry> = Vec::new();
        for party in rows.iter().flat_map(|row| &row.stands) {
            match all.iter_mut().find(|e| e.party.is(party)) {
                Some(entry) => {
                    entry.points += 1;
                    entry.moves |= entry.party != *party;
                }
                None => all.push(Entry {
                    party: party.clone(),
                    moves: false,
                    points: 1,
                }),
            }
        }
        let recipes = rows.iter().filter(|row| row.has_recipe()).count();
        let (always, some) = all.into_iter().partition(|e| e.points == recipes);
        Legend { always, some }
    }

    /// The letters of a row: one for each of `some`, a dot where it does not stand on it.
    #[must_use]
    pub fn letters(&self, row: &Row) -> String {
        self.some
            .iter()
            .zip(LETTERS.chars())
            .map(|(entry, letter)| if entry.holds(row) { letter } else { '.' })
            .collect()
    }

    /// The letter of a requirement among `some`.
    #[must_use]
    pub fn letter(&self, party: &Party) -> Option<char> {
        let place = self.some.iter().position(|e| e.party.is(party))?;
        LETTERS.chars().nth(place)
    }

    /// Whether the number of a requirement is not the same everywhere; `None` where no row stands on it.
    #[must_use]
    pub fn moves(&self, party: &Party) -> Option<bool> {
        let mut known = self.always.iter().chain(&self.some);
        let entry = known.find(|e| e.party.is(party))?;
        Some(entry.moves)
    }

    /// The keys of a row beyond what all stand on, sorted: what names its region.
    #[must_use]
    pub fn set(&self, row: &Row) -> Vec<String> {
        self.beyond(row).iter().map(|p| keys::key(p)).collect()
    }

    /// What a row stands on beyond what all stand on, in the order of its keys.
    #[must_use]
    pub fn beyond<'a>(&self, row: &'a Row) -> Vec<&'a Party> {
        let ours = |p: &&Party| self.some.iter().any(|e| e.party.is(p));
        let mut set: Vec<&Party> = row.stands.iter().filter(ours).collect();
        set.sort_by_cached_key(|p| keys::key(p));
        set.dedup_by_key(|p| keys::key(p));
        set
    }

    /// Each of `some` with its letter.
    #[must_use]
    pub fn lines(&self, problem: &Problem) -> Vec<(char, String)> {
        LETTERS
            .chars()
            .zip(&self.some)
            .map(|(letter, entry)| (letter, entry.words(problem)))
            .collect()
    }
}

impl Entry {
    /// The requirement, with the number that it has at the first row.
    #[must_use]
    pub fn party(&self) -> &Party {
        &self.party
    }

    fn holds(&self, row: &Row) -> bool {
        row.stands.iter().any(|p| p.is(&self.party))
    }

    /// `phosphorus <= 800 ppm (problem)`.
    #[must_use]
    pub fn words(&self, problem: &Problem) -> String {
        if self.moves {
            format!("{} as varied", bare(problem, &self.party))
        } else {
            requirement(problem, &self.party)
        }
    }
}

fn source(party: &Party) -> String {
    match party {
        Party::Limit { source, .. } => words::limit_source(source),
        Party::Band { source, .. } => words::edge_source(*source).into(),
        Party::IfUsed { .. } | Party::Rule(_) | Party::Whole => String::new(),
    }
}

/// A requirement in a few words, without its number: `phosphorus at most`.
#[must_use]
pub fn bare(problem: &Problem, party: &Party) -> String {
    match party {
        Party::Limit { property, side, .. } => {
            format!(
                "{} {}",
                words::property(property),
                words::must_be(*side, false)
            )
        }
        Party::Band {
            component, side, ..
        } => format!("treat of {component} {}", words::must_be(*side, false)),
        Party::IfUsed { component, .. } => format!("treat of {component} where it is used"),
        Party::Rule(rule) => rules::says(problem, rule),
        Party::Whole => "the whole".into(),
    }
}

/// A requirement in a few words: `phosphorus at most 800 ppm (problem)`.
#[must_use]
pub fn requirement(problem: &Problem, party: &Party) -> String {
    let words = stated(problem, party);
    match source(party).as_str() {
        "" => words,
        by => format!("{words} ({by})"),
    }
}

/// A requirement in a few words, whoever set it: `phosphorus at most 800 ppm`.
#[must_use]
pub fn stated(problem: &Problem, party: &Party) -> String {
    match party {
        Party::Limit {
            property,
            side,
            strict,
            stated,
            unit,
            ..
        } => Bound::new(property, *side, *strict, *stated, unit.clone()).worded(),
        Party::Band {
            component, percent, ..
        } => {
            let rate = number::bound(&Property::Treat(component.clone()), *percent);
            format!("{} {rate} %", bare(problem, party))
        }
        Party::IfUsed { component, percent } => {
            let rate = number::bound(&Property::Treat(component.clone()), *percent);
            format!("{} at least {rate} %", bare(problem, party))
        }
        Party::Rule(_) | Party::Whole => bare(problem, party),
    }
}
