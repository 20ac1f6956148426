//! The answer of `conflict`: why there is no recipe, and what would do.

use crate::declare::problem::Problem;
use crate::explain::conflict::Explained;
use crate::explain::conflict::Refusal;
use crate::quantity::Share;
use crate::report::number;
use crate::report::table;
use crate::report::text::answer;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::text::notes;
use crate::report::text::remedies;
use crate::report::text::wanted;
use crate::report::words;
use crate::solve::answer::Answer;
use crate::solve::answer::Party;
use crate::solve::answer::Status;
use crate::solve::conflict::Conflict;

/// The page.
#[must_use]
pub fn conflict(problem: &Problem, explained: &Explained) -> String {
    let found = &explained.answer;
    match (&explained.refusal, found.outcome()) {
        (Some(refusal), _) => refused(problem, found, refusal),
        (None, Status::Optimal | Status::Feasible) => {
            table::paragraph(&nothing_collides(problem, found))
        }
        (None, _) => table::paragraph(
            "Undecided: no recipe was found, and none was ruled out, so there is no reason to tell. \
             Try `treatrate solve` with more `--cases`.",
        ),
    }
}

fn nothing_collides(problem: &Problem, found: &Answer) -> String {
    let goal = &problem.goal.property;
    let value = found.objective.map_or(String::new(), |v| {
        let value = words::with_unit(&number::value(goal, v), &problem.unit(goal));
        format!(", {} {value}", words::property(goal))
    });
    format!(
        "Nothing collides: there is a recipe that meets every limit{value}; `treatrate solve` tells it."
    )
}

fn refused(problem: &Problem, found: &Answer, refusal: &Refusal) -> String {
    let first = ["No recipe: what is asked for cannot all hold at once.".into()];
    let title = headline::title(problem);
    let head: String = first
        .iter()
        .chain([&title])
        .filter(|line| !line.is_empty())
        .map(|line| table::paragraph(line))
        .collect();
    let best = refusal
        .remedies
        .iter()
        .chain(&refusal.everywhere)
        .map(|r| &r.answer)
        .find_map(|a| Some((a.recipe.as_ref()?, a.judgement.as_ref()?)));
    let cautions = best.map_or(String::new(), |(recipe, judgement)| {
        notes::cautions(problem, recipe, &judgement.warnings)
    });
    answer::page(&[
        head,
        reasons(problem, refusal),
        proof(problem, found, refusal),
        remedies::section(problem, &refusal.remedies, !refusal.unsettled.is_empty()),
        remedies::everywhere(problem, refusal.everywhere.as_ref()),
        alone(problem, refusal),
        wanted::section(problem, &refusal.wanted),
        cautions,
    ])
}

fn reasons(problem: &Problem, refusal: &Refusal) -> String {
    match refusal.sets.as_slice() {
        [one] => conflict::section(problem, &one.parties()),
        sets => sets
            .iter()
            .map(|set| {
                let text = conflict::section(problem, &set.parties());
                table::item(text.trim_end())
            })
            .collect(),
    }
}

/// What is held at nothing is kept out, whatever else gives way.
fn banned(problem: &Problem) -> String {
    let out: Vec<String> = problem
        .components
        .iter()
        .zip(&problem.bands)
        .filter(|(_, band)| band.max.share <= Share::NONE)
        .map(|(c, _)| c.id.clone())
        .collect();
    if out.is_empty() {
        String::new()
    } else {
        format!("All this is so with {} kept at 0 %.", words::list(&out))
    }
}

/// What is proved of the reasons.
fn proof(problem: &Problem, found: &Answer, refusal: &Refusal) -> String {
    let several = refusal.sets.len() > 1;
    let mut told: Vec<&str> = vec![if several {
        "Each of these alone leaves no recipe."
    } else if found.proof.words.contains("arithmetic") {
        "That is proved by plain arithmetic."
    } else {
        "That is proved over the whole shelf, on these property models."
    }];
    if refusal.sets.iter().all(Conflict::irreducible) {
        told.push("Every part is needed: without it, the rest of its sentence leaves a recipe.");
    } else {
        told.push(
            "Not every part was shown to be needed: some may be named though the others collide \
             without it.",
        );
    }
    if refusal.complete {
        if several {
            told.push("There are no other reasons.");
        } else {
            told.push("There is no other reason.");
        }
    } else {
        told.push("There may be further reasons: the search for them was cut short.");
    }
    let banned = banned(problem);
    told.push(&banned);
    table::paragraph(&told.join(" "))
}

/// Single changes that do not suffice.
fn alone(problem: &Problem, refusal: &Refusal) -> String {
    let single = refusal.remedies.iter().any(|r| r.changes.len() == 1);
    if !single && refusal.unsettled.is_empty() && refusal.sets.len() > 1 {
        return table::paragraph(
            "No single change is enough: what settles one of the reasons leaves another.",
        );
    }
    let items = |parties: &[Party]| -> String {
        let clauses = parties.iter().map(|p| conflict::clause(problem, p));
        clauses.map(|c| table::item(&c)).collect()
    };
    let section = |head: &str, parties: &[Party]| {
        if parties.is_empty() {
            String::new()
        } else {
            format!("{head}\n{}", items(parties))
        }
    };
    let no = section(
        "Not enough on its own, however far it gives",
        &refusal.not_alone,
    );
    let unknown = section(
        "Whether this could give alone was not settled",
        &refusal.unsettled,
    );
    [no, unknown]
        .into_iter()
        .filter(|s| !s.is_empty())
        .collect::<Vec<_>>()
        .join("\n")
}
