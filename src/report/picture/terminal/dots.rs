//! A field of dots in plain characters: eight to a character, as Braille patterns.

/// First Braille pattern: no dot.
const EMPTY: u32 = 0x2800;

/// The bit of each dot of a character, column by column from the top.
const BITS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// Dots a character, across and down.
pub const ACROSS: usize = 2;
/// Dots a character, down.
pub const DOWN: usize = 4;

/// A field of dots.
#[derive(Debug, Clone)]
pub struct Dots {
    columns: usize,
    rows: usize,
    patterns: Vec<u32>,
    ground: Vec<char>,
}

impl Dots {
    /// An empty field, in characters.
    #[must_use]
    pub fn new(columns: usize, rows: usize) -> Self {
        Dots {
            columns,
            rows,
            patterns: vec![0; columns * rows],
            ground: vec![' '; columns * rows],
        }
    }

    /// Fills a column of characters where there is no dot.
    pub fn fill(&mut self, column: usize, with: char) {
        for row in 0..self.rows {
            self.put(column, row, with);
        }
    }

    /// Puts a character where there is no dot.
    pub fn put(&mut self, column: usize, row: usize, what: char) {
        if column < self.columns && row < self.rows {
            self.ground[row * self.columns + column] = what;
        }
    }

    /// Sets one dot, counted from the top left; outside is nothing.
    pub fn set(&mut self, x: usize, y: usize) {
        let (column, row) = (x / ACROSS, y / DOWN);
        if column < self.columns && row < self.rows {
            self.patterns[row * self.columns + column] |= BITS[x % ACROSS][y % DOWN];
        }
    }

    /// Sets the dots between two.
    pub fn line(&mut self, from: (usize, usize), to: (usize, usize)) {
        let steps = from.0.abs_diff(to.0).max(from.1.abs_diff(to.1)).max(1);
        for step in 0..=steps {
            let between = |a: usize, b: usize| (a * (steps - step) + b * step + steps / 2) / steps;
            self.set(between(from.0, to.0), between(from.1, to.1));
        }
    }

    /// The lines of characters from the top.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let cells = self.patterns.iter().zip(&self.ground);
        let characters: Vec<char> = cells
            .map(|(pattern, ground)| match pattern {
                0 => *ground,
                dots => char::from_u32(EMPTY + dots).unwrap_or(' '),
            })
            .collect();
        characters
            .chunks(self.columns.max(1))
            .map(|line| line.iter().collect())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::Dots;

    #[test]
    fn a_diagonal_is_drawn() {
        let mut dots = Dots::new(2, 1);
        dots.line((0, 3), (3, 0));
        // Unicode, block 2800: dots 7 and 6 of the first, 2 and 4 of the second character.
        assert_eq!(dots.lines(), ["⡠⠊"]);
        let mut one = Dots::new(1, 1);
        one.fill(0, '░');
        assert_eq!(one.lines(), ["░"]);
        one.set(9, 9);
        assert_eq!(one.lines(), ["░"]);
    }
}
