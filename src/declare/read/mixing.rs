//! The `[mixing]` table of shelves and problems.

use super::tree::{Node, Table};
use super::words::{choice, only};
use crate::declare::problem::{Mixing, ThickeningLaw, ViscosityRule, ZincAsh};
use crate::fault::{Code, Fault, Place};

/// The choices one file makes, each with its place.
#[derive(Default)]
pub(super) struct Choices {
    viscosity: Option<(ViscosityRule, Place)>,
    thickening: Option<(ThickeningLaw, Place)>,
    zinc_ash: Option<(ZincAsh, Place)>,
}

/// The choices of a file's `[mixing]` table.
pub(super) fn choices(root: &Table<'_>, faults: &mut Vec<Fault>) -> Choices {
    let Some(table) = root.table("mixing", faults) else {
        return Choices::default();
    };
    only(
        &table,
        "`[mixing]`",
        &["viscosity", "thickening", "zinc-ash"],
        faults,
    );
    Choices {
        viscosity: chosen(
            table.get("viscosity"),
            &ViscosityRule::ALL,
            ViscosityRule::key,
            faults,
        ),
        thickening: chosen(
            table.get("thickening"),
            &ThickeningLaw::ALL,
            ThickeningLaw::key,
            faults,
        ),
        zinc_ash: chosen(table.get("zinc-ash"), &ZincAsh::ALL, ZincAsh::key, faults),
    }
}

fn chosen<T: Copy>(
    node: Option<Node<'_>>,
    all: &[T],
    key: impl Fn(T) -> &'static str,
    faults: &mut Vec<Fault>,
) -> Option<(T, Place)> {
    let node = node?;
    choice(node, "`[mixing]`", all, key, faults).map(|t| (t, node.place()))
}

/// The rules of the problem: its own choice, else the one that its shelves share, else the default.
pub(super) fn decided(problem: &Choices, shelves: &[Choices], faults: &mut Vec<Fault>) -> Mixing {
    let default = Mixing::default();
    Mixing {
        viscosity: agreed(
            "viscosity",
            problem.viscosity.as_ref(),
            shelves.iter().map(|c| c.viscosity.as_ref()),
            ViscosityRule::key,
            faults,
        )
        .unwrap_or(default.viscosity),
        thickening: agreed(
            "thickening",
            problem.thickening.as_ref(),
            shelves.iter().map(|c| c.thickening.as_ref()),
            ThickeningLaw::key,
            faults,
        )
        .unwrap_or(default.thickening),
        zinc_ash: agreed(
            "zinc-ash",
            problem.zinc_ash.as_ref(),
            shelves.iter().map(|c| c.zinc_ash.as_ref()),
            ZincAsh::key,
            faults,
        )
        .unwrap_or(default.zinc_ash),
    }
}

fn agreed<'c, T: Copy + PartialEq + 'c>(
    name: &str,
    own: Option<&(T, Place)>,
    shelves: impl Iterator<Item = Option<&'c (T, Place)>>,
    key: impl Fn(T) -> &'static str,
    faults: &mut Vec<Fault>,
) -> Option<T> {
    if let Some((choice, _)) = own {
        return Some(*choice);
    }
    let mut first: Option<&(T, Place)> = None;
    for choice in shelves.flatten() {
        match first {
            None => first = Some(choice),
            Some((rule, place)) if *rule != choice.0 => {
                faults.push(
                    Fault::at(
                        Code::MixedRules,
                        format!(
                            "the shelves disagree on `{name}`: `{}` and `{}`",
                            key(*rule),
                            key(choice.0)
                        ),
                        choice.1.clone(),
                        "this shelf",
                    )
                    .and(place.clone(), "the other shelf")
                    .help(format!(
                        "decide in the problem: `[mixing]` with `{name} = \"{}\"`",
                        key(*rule)
                    )),
                );
                break;
            }
            Some(_) => {}
        }
    }
    first.map(|(rule, _)| *rule)
}
