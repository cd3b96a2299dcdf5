//! The cheapest of many ways to go on.

/// A way to go on: what it costs, then the pitch and the number of the line, which tell ways of one
/// cost apart.
pub(super) type Way = (i64, (u8, u8));

/// How many ways are kept, and lines followed, at a time.
const WIDTH: usize = 64;
/// Several ways may lead to one state; a few times as many as are kept are enough to look at.
const LOOKED_AT: usize = 6 * WIDTH;
/// How many ways may gather before the dear ones go.
const GATHERED: usize = 2 * WIDTH;

/// Keeps the cheapest of all ways that it is offered, of each state one.
#[derive(Default)]
pub(super) struct Cheapest {
    ways: Vec<Way>,
    /// Those that lead where a cheaper one leads.
    others: Vec<Way>,
    /// The dearest of the [`WIDTH`] cheapest so far; none before there are so many.
    bound: Option<Way>,
}

impl Cheapest {
    /// Whether a way of such a cost may be among the cheapest.
    pub(super) fn may_take(&self, cost: i64) -> bool {
        self.bound.is_none_or(|bound| cost <= bound.0)
    }

    /// Takes in all ways that lead to one state.
    pub(super) fn offer(&mut self, ways: impl Iterator<Item = Way>) {
        let bound = self.bound;
        let mut ways = ways.filter(|way| bound.is_none_or(|bound| *way < bound));
        let Some(mut cheapest) = ways.next() else { return };
        for way in ways {
            self.others.push(cheapest.max(way));
            cheapest = cheapest.min(way);
        }
        self.ways.push(cheapest);
        if self.ways.len() == GATHERED {
            self.cut();
        }
    }

    fn cut(&mut self) {
        if self.ways.len() > WIDTH {
            let (_, bound, _) = self.ways.select_nth_unstable(WIDTH - 1);
            self.bound = Some(*bound);
            self.ways.truncate(WIDTH);
        }
    }

    /// Those that are kept, the cheapest first.
    pub(super) fn sorted(mut self) -> Vec<Way> {
        self.cut();
        self.ways.sort_unstable();
        if self.ways.len() + self.others.len() > LOOKED_AT {
            self.others.sort_unstable();
            let cheaper = |way: &Way| self.others.partition_point(|other| other < way);
            let ranks = self.ways.iter().enumerate().map(|(number, way)| number + cheaper(way));
            let kept = ranks.take_while(|rank| *rank < LOOKED_AT).count();
            self.ways.truncate(kept);
        }
        self.ways
    }
}
