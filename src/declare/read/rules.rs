//! The `[rules]` table: recipe logic.

use super::component::no_such;
use super::tree::{Node, Table};
use super::words::{only, short};
use crate::declare::component::Component;
use crate::declare::problem::Rule;
use crate::fault::{Code, Fault, Place};

/// The rules of a problem, names resolved.
pub(super) fn rules(
    root: &Table<'_>,
    components: &[Component],
    faults: &mut Vec<Fault>,
) -> Vec<Rule> {
    let Some(table) = root.table("rules", faults) else {
        return Vec::new();
    };
    only(
        &table,
        "`[rules]`",
        &["at-most", "not-together", "one-of", "needs"],
        faults,
    );
    let names = Names { components };
    let mut rules = Vec::new();
    if let Some(node) = table.get("at-most")
        && let Some(count) = count(node, faults)
    {
        rules.push(Rule::AtMost(count, node.place()));
    }
    if let Some(node) = table.get("not-together") {
        let sets = names.sets(node, "not-together", 2, faults);
        rules.extend(
            sets.into_iter()
                .map(|(set, place)| Rule::NotTogether(set, place)),
        );
    }
    if let Some(node) = table.get("one-of") {
        let sets = names.sets(node, "one-of", 1, faults);
        rules.extend(sets.into_iter().map(|(set, place)| Rule::OneOf(set, place)));
    }
    if let Some(node) = table.get("needs") {
        names.needs(node, &mut rules, faults);
    }
    rules
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "checked to be a whole number from 1 to 1000"
)]
fn count(node: Node<'_>, faults: &mut Vec<Fault>) -> Option<usize> {
    let Some(value) = node.as_number() else {
        faults.push(node.wrong_type("`at-most`", "a number of components"));
        return None;
    };
    if value.fract().abs() < f64::EPSILON && (1.0..=1000.0).contains(&value) {
        return Some(value as usize);
    }
    faults.push(
        Fault::at(
            Code::OutOfRange,
            "`at-most` must be a whole number of components, 1 or more",
            node.place(),
            "",
        )
        .help("write `at-most = 8`"),
    );
    None
}

struct Names<'c> {
    components: &'c [Component],
}

impl Names<'_> {
    fn index(&self, id: &str, what: &str, place: Place, faults: &mut Vec<Fault>) -> Option<usize> {
        let found = self.components.iter().position(|c| c.id == id);
        if found.is_none() {
            let ids: Vec<&str> = self.components.iter().map(|c| c.id.as_str()).collect();
            faults.push(no_such(id, what, place, &ids));
        }
        found
    }

    /// A list of lists of names.
    fn sets(
        &self,
        node: Node<'_>,
        key: &str,
        fewest: usize,
        faults: &mut Vec<Fault>,
    ) -> Vec<(Vec<usize>, Place)> {
        let what = format!("`{key}`");
        let Some(list) = node.list(&what, faults) else {
            return Vec::new();
        };
        let mut sets = Vec::new();
        for inner in list {
            if let Some(text) = inner.as_text() {
                faults.push(
                    inner
                        .wrong_type(&what, "a list of lists")
                        .help(format!("write `{key} = [[\"{}\", …]]`", short(text))),
                );
                return Vec::new();
            }
            let words = inner.texts(&what, faults);
            let stated = words.len();
            let mut set: Vec<usize> = words
                .into_iter()
                .filter_map(|(id, place)| self.index(id, &what, place, faults))
                .collect();
            let known = set.len();
            set.sort_unstable();
            set.dedup();
            if known == stated && set.len() < fewest {
                faults.push(
                    Fault::at(
                        Code::MissingKey,
                        format!("{what} names fewer than {fewest} different components here"),
                        inner.place(),
                        "",
                    )
                    .help("name the components of the rule, or delete it"),
                );
            } else {
                sets.push((set, inner.place()));
            }
        }
        sets
    }

    fn needs(&self, node: Node<'_>, rules: &mut Vec<Rule>, faults: &mut Vec<Fault>) {
        let Some(table) = node.as_table() else {
            // Most likely pairs in the manner of the other rules: show them as a table.
            let pair = node.as_list().and_then(|list| {
                let first = list.first()?.as_list()?;
                Some((first.first()?.as_text()?, first.get(1)?.as_text()?))
            });
            let (user, needed) = pair.unwrap_or(("booster-mo", "package-a"));
            faults.push(node.wrong_type("`needs`", "a table").help(format!(
                "write `needs = {{ {} = \"{}\" }}`: the first is used only with the second",
                short(user),
                short(needed)
            )));
            return;
        };
        for item in &table.items {
            let what = "`needs`";
            let user = self.index(item.key, what, item.key_place.clone(), faults);
            for (id, place) in item.node.texts(what, faults) {
                let needed = self.index(id, what, place.clone(), faults);
                if let (Some(user), Some(needed)) = (user, needed) {
                    rules.push(Rule::Needs(user, needed, place));
                }
            }
        }
    }
}
