//! The plain-text answers, whole.

mod bench;

use treatrate::declare::problem::Problem;
use treatrate::report::recipe_file;
use treatrate::report::text::answer;

/// Words of the search that a formulator must never meet in an answer.
const SOLVER_WORDS: [&str; 15] = [
    "infeasible",
    "feasible",
    "dual",
    "constraint",
    "objective",
    "simplex",
    "tangent",
    "optimum",
    "optimal",
    "variable",
    "slack",
    "solver",
    "relaxation",
    "shadow",
    "row",
];

/// Terminals are rarely wider.
const WIDEST: usize = 100;

#[test]
fn a_recipe_is_told_whole() {
    let problem = bench::problem();
    let text = answer::solve(&problem, &bench::found(&problem));
    same_page(&text, FOUND);
}

#[test]
fn a_refusal_is_told_whole() {
    let text = answer::solve(&bench::problem(), &bench::none());
    same_page(&text, NONE);
}

#[test]
fn a_failing_recipe_is_told_by_its_failure() {
    let problem = bench::problem();
    let recipe = bench::recipe(&problem);
    let text = answer::predict(&problem, &recipe, &bench::failing());
    assert!(
        text.starts_with("The recipe fails: base number; still to be tested: MRV at -35 °C.\n")
    );
    let line = text.lines().find(|l| l.contains("base number, mg KOH/g"));
    let line = line.expect("the failing limit is shown");
    // 6.9996 prints as 7.0, so the margin shows the digit that decides.
    assert!(line.contains("-0.0004  FAILS"), "{line}");
}

#[test]
fn an_attempt_is_not_sold_as_a_recipe() {
    let problem = bench::problem();
    let text = answer::solve(&problem, &bench::undecided(&problem));
    assert!(text.starts_with("Undecided: "), "{text}");
    let words: Vec<&str> = text.split_whitespace().collect();
    let words = words.join(" ");
    assert!(words.contains("it fails base number: not to be"), "{text}");
}

#[test]
fn a_proof_claims_no_more_than_was_proved() {
    let problem = bench::problem();
    let text = answer::solve(&problem, &bench::proved(&problem));
    let expected = "The cheapest recipe that meets every limit that can be calculated: 4.0878 EUR/kg; still to be";
    assert!(text.replace('\n', " ").starts_with(expected), "{text}");
    let words: Vec<&str> = text.split_whitespace().collect();
    // 4.08761 is rounded down and the gap of 0.00465 % up.
    let said = "No recipe on this shelf is cheaper by more than 0.005 % (none lies below 4.0876 \
                EUR/kg), on these property models.";
    assert!(words.join(" ").contains(said), "{text}");
}

#[test]
fn printed_parts_add_up() {
    for batch in [20.0, 2.0, 0.7, 1234.5] {
        let problem = Problem {
            batch: Some(batch),
            ..bench::problem()
        };
        let text = answer::solve(&problem, &bench::found(&problem));
        let table: Vec<Vec<f64>> = text
            .lines()
            .skip_while(|l| !l.starts_with("  component"))
            .skip(1)
            .take_while(|l| !l.is_empty())
            .map(|l| {
                l.trim_end_matches(" %")
                    .split_whitespace()
                    .rev()
                    .take(4)
                    .map(|word| word.parse().expect("a number"))
                    .collect()
            })
            .collect();
        let (total, parts) = table.split_last().expect("a total");
        assert_eq!(parts.len(), 4, "{text}");
        for (column, whole) in total.iter().enumerate() {
            let sum: f64 = parts.iter().map(|p| p[column]).sum();
            assert!((sum - whole).abs() < 1e-6, "column {column}: {sum}\n{text}");
        }
        // From the right: part of cost, money, grams, mass %.
        assert!((total[3] - 100.0).abs() < 1e-9);
        assert!((total[2] - batch * 1000.0).abs() < 1e-9);
        assert!((total[0] - 100.0).abs() < 1e-9);
    }
}

#[test]
fn no_answer_speaks_the_language_of_the_search() {
    for text in every_text() {
        let lower = text.to_lowercase();
        let said: Vec<&str> = lower
            .split(|c: char| !c.is_alphabetic())
            .filter(|word| SOLVER_WORDS.contains(word))
            .collect();
        assert!(said.is_empty(), "{said:?} in\n{text}");
    }
}

#[test]
fn no_line_is_too_wide_or_ends_in_blanks() {
    for text in every_text() {
        for line in text.lines() {
            assert!(line.chars().count() <= WIDEST, "{line}");
            assert_eq!(line, line.trim_end());
        }
        assert!(text.ends_with('\n') && !text.contains("\n\n\n"));
    }
}

#[test]
fn a_written_recipe_reads_back_to_the_same_rates() {
    let problem = bench::problem();
    let recipe = bench::recipe(&problem);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("sprint.toml");
    recipe_file::write(&path, &problem, &recipe).expect("the folder takes files");
    let text = std::fs::read_to_string(&path).expect("the file was written");
    let file: toml::Table = text.parse().expect("TOML");
    let rates = file["recipe"].as_table().expect("a table");
    assert_eq!(rates.len(), 4, "the component left out is not written");
    for (component, share) in problem.components.iter().zip(recipe.shares()) {
        let rate = rates.get(&component.id).and_then(toml::Value::as_float);
        assert!((rate.unwrap_or(0.0) - share.percent()).abs() < 1e-12);
    }
    let left = std::fs::read_dir(folder.path()).expect("a folder").count();
    assert_eq!(left, 1, "no draft is left behind");
}

fn every_text() -> Vec<String> {
    let problem = bench::problem();
    let recipe = bench::recipe(&problem);
    vec![
        answer::solve(&problem, &bench::found(&problem)),
        answer::solve(&problem, &bench::none()),
        answer::solve(&problem, &bench::proved(&problem)),
        answer::solve(&problem, &bench::undecided(&problem)),
        answer::predict(&problem, &recipe, &bench::passing()),
        answer::predict(&problem, &recipe, &bench::failing()),
    ]
}

/// Compares whole pages; a difference shows both as they are, not as quoted strings.
fn same_page(found: &str, expected: &str) {
    assert!(found == expected, "found:\n{found}\nexpected:\n{expected}");
}

const FOUND: &str = "\
A recipe that meets every limit that can be calculated: 4.088 EUR/kg; still to
be tested: MRV at -35 °C.
Nothing cheaper was found nearby; that none exists is not proved.
For: 5W-40 for the ice-racing sprint

Recipe for 20 kg
  component     id          mass %        g  EUR/kg  of cost
  PAO 4         pao-4       33.333   6666.7   1.034   25.3 %
  PAO 8         pao-8       33.333   6666.6   1.183   28.9 %
  Star polymer  vm-star     21.834   4366.7   1.135   27.8 %
  Package A     package-a   11.500   2300.0   0.736   18.0 %
  total                    100.000  20000.0   4.088  100.0 %

Limits
  property                value     ±  limit     margin           lab  set by
  KV100, mm²/s            14.21  0.18  >=  12.5    1.71  ok     >99 %  SAE J300 5W-40
                                       <   16.3    2.08  ok     >99 %  SAE J300 5W-40
  phosphorus, ppm           800    12  <=   800       0  binds   50 %  ACEA C3 (from memory)
  CCS at -30 °C, mPa·s     6190   310  <=  6600     410  ok     >99 %  SAE J300 5W-40
  MRV at -35 °C, mPa·s        -        <= 60000          test          SAE J300 5W-40
  treat of package-a, %  11.500        <=  11.5       0  binds         shelf band
  ±: one standard deviation of one laboratory's result; lab: the chance that
  such a result passes. binds: the recipe stands on this limit. test: not
  assured; only a laboratory can tell.

Also predicted
  property                 value       ±
  Noack loss, %              9.4     0.3
  density at 15 °C, kg/L  0.8533  0.0004
  molybdenum, ppm            820      15
  Mo:P by mass              1.02
  Mo:P by mole              0.33

Resting on estimated figures of
  - Star polymer (vm-star): Noack loss

Warnings
  - `package-a`: P/Zn is 1.20 by mass: check both figures.

Cautions
  - Base oils and concentrates on a hot plate burn skin and give off vapour:
    keep them well below the lowest flash point in the recipe, 180 °C
    (package-a). The shelf states none for vm-star: look it up first.
  - Wear gloves and eye protection, ventilate, and follow the safety data sheet
    of every component; it wins over anything said here.
  - A predicted grade is not a licence or an approval.
  - The yield stress of cold pumping cannot be predicted: test it.
";

const NONE: &str = "\
No recipe: what is asked for cannot all hold at once.
For: 5W-40 for the ice-racing sprint

Because phosphorus must be at least 900 ppm (problem), sulfated ash must be at
most 0.8 % (ACEA C3, from memory), the treat rate of Package A (package-a) must
be at most 11.111 % (stock) and the treat rates add up to 100 %, no recipe
exists.

These alone leave no recipe.

For the least that would have to give: `treatrate conflict` with the same file.
";
