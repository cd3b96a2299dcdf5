//! The cheapest of many extensions of lines.

/// A line with one more note: what it costs, then the pitch and the number of the line, which tell
/// extensions of one cost apart.
pub(super) type Extension = (i64, (u8, u8));

/// How many extensions are kept, and lines followed, at a time.
const WIDTH: usize = 64;
/// Several extensions may lead to one state; a few times as many as are kept are enough to look at.
const LOOKED_AT: usize = 6 * WIDTH;
/// How many extensions may gather before the dear ones go.
const GATHERED: usize = 2 * WIDTH;

/// Keeps the cheapest of all extensions that it is offered, of each state one.
#[derive(Default)]
pub(super) struct Cheapest {
    extensions: Vec<Extension>,
    /// Those that lead where a cheaper one leads.
    others: Vec<Extension>,
    /// The dearest of the [`WIDTH`] cheapest so far; none before there are so many.
    bound: Option<Extension>,
}

impl Cheapest {
    /// Whether an extension of such a cost may be among the cheapest.
    pub(super) fn may_take(&self, cost: i64) -> bool {
        self.bound.is_none_or(|bound| cost <= bound.0)
    }

    /// Takes in all extensions that lead to one state.
    pub(super) fn offer(&mut self, extensions: impl Iterator<Item = Extension>) {
        let bound = self.bound;
        let mut extensions =
            extensions.filter(|extension| bound.is_none_or(|bound| *extension < bound));
        let Some(mut cheapest) = extensions.next() else { return };
        for extension in extensions {
            self.others.push(cheapest.max(extension));
            cheapest = cheapest.min(extension);
        }
        self.extensions.push(cheapest);
        if self.extensions.len() == GATHERED {
            self.cut();
        }
    }

    fn cut(&mut self) {
        if self.extensions.len() > WIDTH {
            let (_, bound, _) = self.extensions.select_nth_unstable(WIDTH - 1);
            self.bound = Some(*bound);
            self.extensions.truncate(WIDTH);
        }
    }

    /// Those that are kept, the cheapest first.
    pub(super) fn sorted(mut self) -> Vec<Extension> {
        self.cut();
        self.extensions.sort_unstable();
        if self.extensions.len() + self.others.len() > LOOKED_AT {
            self.others.sort_unstable();
            let cheaper =
                |extension: &Extension| self.others.partition_point(|other| other < extension);
            let ranks = self
                .extensions
                .iter()
                .enumerate()
                .map(|(number, extension)| number + cheaper(extension));
            let kept = ranks.take_while(|rank| *rank < LOOKED_AT).count();
            self.extensions.truncate(kept);
        }
        self.extensions
    }
}
