//! Where columns stand: springs that give every length its room, and things that must not touch.

/// Columns from left to right. The first stands at zero.
#[derive(Debug, Default)]
pub(super) struct Spacing {
    /// The room before each column, at a force of one.
    springs: Vec<f64>,
    /// For each column: how far it is at least from earlier ones.
    least: Vec<Vec<(usize, f64)>>,
}

impl Spacing {
    /// One more column, so far behind the last one.
    pub(super) fn push(&mut self, spring: f64) -> usize {
        self.springs.push(spring);
        self.least.push(Vec::new());
        self.springs.len() - 1
    }

    /// Keeps two columns apart.
    pub(super) fn apart(&mut self, from: usize, to: usize, least: f64) {
        if from < to {
            self.least[to].push((from, least));
        }
    }

    /// Where the columns stand when the springs are pulled or pressed.
    pub(super) fn places(&self, force: f64) -> Vec<f64> {
        let mut places: Vec<f64> = Vec::with_capacity(self.springs.len());
        for (spring, least) in self.springs.iter().zip(&self.least) {
            let before = places.last().copied();
            let free = before.map_or(0.0, |before| before + spring * force);
            let place =
                least.iter().map(|(from, least)| places[*from] + least).fold(free, f64::max);
            places.push(place);
        }
        places
    }

    /// How far the last column is from the first.
    pub(super) fn width(&self, force: f64) -> f64 {
        self.places(force).last().copied().unwrap_or(0.0)
    }

    /// Places that fill a width exactly, or as little more as things need.
    pub(super) fn fit(&self, width: f64) -> Vec<f64> {
        let (mut low, mut high) = (0.0, 1.0);
        while self.width(high) < width && high < 1e4 {
            high *= 2.0;
        }
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if self.width(middle) < width { low = middle } else { high = middle }
        }
        self.places(low)
    }
}
