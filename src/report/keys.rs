//! Short names of what a recipe stands on, and of what is varied: as paths name them.

use crate::declare::dial::Setting;
use crate::solve::answer::Party;
use crate::study::sweep::row::Row;

/// A setting as a file would say it.
#[must_use]
pub fn setting(setting: &Setting) -> String {
    match setting {
        Setting::Number(number) => number.to_string(),
        Setting::Word(word) => word.clone(),
    }
}

/// The keys of what a row's recipe stands on: `p.max`, `treat.pao-4.min`.
#[must_use]
pub fn of(row: &Row) -> Vec<String> {
    let mut keys: Vec<String> = Vec::new();
    for key in row.stands.iter().map(key) {
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    keys
}

/// The key of a requirement.
#[must_use]
pub fn key(party: &Party) -> String {
    match party {
        Party::Limit { property, side, .. } => format!("{}.{}", property.key(), side.key()),
        Party::Band {
            component, side, ..
        } => format!("treat.{component}.{}", side.key()),
        Party::IfUsed { component, .. } => format!("treat.{component}.if-used"),
        Party::Rule(rule) => format!("rules.{}", rule.key()),
        Party::Whole => "whole".into(),
    }
}
