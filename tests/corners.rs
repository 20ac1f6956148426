//! Corners that once made a proof claim too much: each is a small problem file of `tests/corners`.

use std::path::Path;
use treatrate::declare::component::{Edge, EdgeSource};
use treatrate::declare::problem::{Problem, Sense};
use treatrate::declare::property::Property;
use treatrate::declare::read;
use treatrate::quantity::Share;
use treatrate::solve::answer::{Answer, Party, Status};
use treatrate::solve::search::{Budget, cheapest};

fn problem(name: &str) -> Problem {
    let path = Path::new("tests/corners").join(name);
    let (problem, _) = read::problem(&path).expect("the file is sound");
    problem
}

fn answer(name: &str) -> Answer {
    cheapest(&problem(name), &Budget::default())
}

/// The index's edge falls where the standard's table ends: recipes on the table's side of 70 mm²/s
/// must not be cut away by what holds beyond it. Both regions hold a recipe that the judge passes.
#[test]
fn recipes_at_the_end_of_the_index_table_are_found() {
    for name in ["table-end-minimum.toml", "table-end-maximum.toml"] {
        assert_eq!(answer(name).status, Status::Optimal, "{name}");
    }
}

/// A band that ends below what a balance pours is no contradiction.
#[test]
fn a_trace_that_must_go_in_goes_in_whatever_the_rules() {
    let answer = answer("trace-and-rule.toml");
    assert_eq!(answer.status, Status::Optimal);
    assert!(answer.judgement.is_some_and(|j| j.passes()));
}

/// A ratio with nothing below the line has no best value; that is no conflict of limits.
#[test]
fn a_ratio_without_a_value_is_no_conflict() {
    let found = answer("ratio-of-nothing.toml");
    assert_eq!(found.status, Status::Undecided);
    assert!(found.conflict.is_empty());
    assert!(found.proof.words.contains("1 ppm of phosphorus"));
    let mut problem = problem("ratio-of-nothing.toml");
    problem.goal.property = Property::Cost;
    problem.goal.sense = Sense::Minimise;
    let found = cheapest(&problem, &Budget::default());
    assert_eq!(found.status, Status::Optimal);
}

/// A stock too small for a minimum is told as the two edges that collide.
#[test]
fn a_stock_below_a_minimum_is_a_conflict_of_both() {
    let answer = answer("stock-below-minimum.toml");
    assert_eq!(answer.status, Status::NoRecipe);
    assert_eq!(answer.conflict.len(), 2);
    assert!(
        answer
            .conflict
            .iter()
            .all(|p| matches!(p, Party::Band { component, .. } if component == "b"))
    );
}

/// None of a component is a best value like any other: its gap is not measured in parts of nothing.
#[test]
fn nothing_of_a_component_is_certified() {
    let answer = answer("nothing-of-it.toml");
    assert_eq!(answer.status, Status::Optimal);
    assert!(answer.objective.is_some_and(|v| v.abs() < 1e-9));
    assert!(answer.effort.nodes < 100, "{:?}", answer.effort);
}

/// A package whose `if-used` minimum is its maximum goes in whole or not at all.
#[test]
fn a_whole_package_goes_in_whole_or_not_at_all() {
    let (mut problem, _) =
        read::problem(Path::new("problems/logic-demo.toml")).expect("the file is sound");
    let package = problem.component("package-full").expect("on the shelf");
    let edge = Edge {
        share: Share::from_percent(9.0),
        source: EdgeSource::Problem,
        place: None,
    };
    let band = &mut problem.bands[package];
    (band.if_used, band.max) = (Some(edge.clone()), edge);
    for barred in [false, true] {
        if barred {
            problem.bands[package].max.share = Share::from_percent(8.9);
        }
        let answer = cheapest(&problem, &Budget::default());
        assert_eq!(answer.status, Status::Optimal);
        let percent = answer.recipe.expect("a recipe").shares()[package].percent();
        let wanted = if barred { 0.0 } else { 9.0 };
        assert!((percent - wanted).abs() < 1e-6, "{percent}");
    }
}

/// No bound on a flash point is known, so a recipe is never called the best for it.
#[test]
fn a_goal_without_a_bound_is_never_certified() {
    let mut problem = problem("nothing-of-it.toml");
    problem.goal.property = Property::Flash;
    for sense in [Sense::Minimise, Sense::Maximise] {
        problem.goal.sense = sense;
        assert_eq!(
            cheapest(&problem, &Budget::default()).status,
            Status::Feasible
        );
    }
}
