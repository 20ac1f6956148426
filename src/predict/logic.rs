//! Recipe logic, judged by the treat rates alone.
//!
//! A component is *used* when it is in the oil at all. One that is used below its `if-used` minimum
//! breaks that minimum, which is judged with the treat bands, and still counts as used here.

use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::predict::value::JudgedRule;

/// The least treat rate that a search pours of what it uses, mass %: ten milligrams in a kilogram, about
/// what a bench balance can do (common practice, no source).
pub const USED_PERCENT: f64 = 0.001;

/// A treat rate up to this is rounding, mass %: a milligram in a tonne.
const NOTHING_PERCENT: f64 = 1e-7;

/// Judges every rule of recipe logic at mass fractions.
#[must_use]
pub fn judge(problem: &Problem, shares: &[f64]) -> Vec<JudgedRule> {
    let used = |j: &usize| shares.get(*j).is_some_and(|x| x * 100.0 > NOTHING_PERCENT);
    problem
        .rules
        .iter()
        .map(|rule| {
            let all: Vec<usize> = concerned(problem, rule).into_iter().filter(used).collect();
            JudgedRule {
                holds: holds(rule, &all),
                rule: rule.clone(),
                used: all,
            }
        })
        .collect()
}

/// The components that a rule speaks of.
fn concerned(problem: &Problem, rule: &Rule) -> Vec<usize> {
    match rule {
        Rule::AtMost(..) => (0..problem.components.len()).collect(),
        Rule::NotTogether(these, _) | Rule::OneOf(these, _) => these.clone(),
        Rule::Needs(one, other, _) => vec![*one, *other],
    }
}

/// Whether a rule holds where exactly these of the components it speaks of are used.
fn holds(rule: &Rule, used: &[usize]) -> bool {
    match rule {
        Rule::AtMost(most, _) => used.len() <= *most,
        Rule::NotTogether(..) => used.len() <= 1,
        Rule::OneOf(..) => used.len() == 1,
        Rule::Needs(one, other, _) => !used.contains(one) || used.contains(other),
    }
}

#[cfg(test)]
mod tests {
    use super::holds;
    use crate::declare::problem::Rule;
    use crate::fault::Place;

    fn nowhere() -> Place {
        Place {
            file: 0,
            span: 0..0,
        }
    }

    #[test]
    fn each_rule_is_broken_by_what_it_forbids() {
        let most = Rule::AtMost(2, nowhere());
        assert!(holds(&most, &[0, 1]) && !holds(&most, &[0, 1, 2]));
        let apart = Rule::NotTogether(vec![0, 1, 2], nowhere());
        assert!(holds(&apart, &[]) && holds(&apart, &[2]) && !holds(&apart, &[0, 2]));
        let one = Rule::OneOf(vec![0, 1], nowhere());
        assert!(holds(&one, &[1]) && !holds(&one, &[]) && !holds(&one, &[0, 1]));
        let needs = Rule::Needs(0, 1, nowhere());
        assert!(holds(&needs, &[]) && holds(&needs, &[1]) && holds(&needs, &[0, 1]));
        assert!(!holds(&needs, &[0]));
    }
}
