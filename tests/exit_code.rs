//! Answers and exit codes: 0 yes, 1 no, 2 unread, 3 unfinished, 70 a bug.

mod bench;

use treatrate::cli::crash;
use treatrate::cli::exit::Exit;
use treatrate::solve::answer::Answer;

#[test]
fn each_outcome_has_its_code() {
    let problem = bench::problem();
    let unconfirmed = Answer {
        judgement: Some(bench::failing()),
        ..bench::found(&problem)
    };
    for (answer, code) in [
        (bench::found(&problem), 0),
        (bench::proved(&problem), 0),
        (bench::none(), 1),
        (bench::undecided(&problem), 3),
        (unconfirmed, 3),
    ] {
        assert_eq!(Exit::of_answer(&answer).number(), code, "{answer:?}");
    }
    assert_eq!(Exit::of_judgement(&bench::passing()).number(), 0);
    assert_eq!(Exit::of_judgement(&bench::failing()).number(), 1);
}

#[test]
fn a_bug_ends_in_seventy() {
    let ended = crash::guarded(|| panic!("an invariant of this test"));
    assert_eq!(ended.number(), 70);
    assert_eq!(Exit::Unread.number(), 2);
}
