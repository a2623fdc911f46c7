package campaign

import (
	"maps"
	"slices"
	"strconv"
)

// Lines need this many falls: two fix one, and the third shows how far
// specimens differ in theirs.
const trendFalls, ownTrendFalls = 2, 3

// analysis holds that the model can be fitted to the drops planned.
func (c *checker) analysis() {
	at := func(field string) Place { return Place{Part: AnalysisPart, Field: field} }
	a := c.plan.Analysis
	among(c, at("falls"), a.FallsAs, FallsAsAll(), FallsAs.Word)
	among(c, at("df"), a.DF, DFs(), DF.Word)
	among(c, at("adjust"), a.Adjust, Adjusts(), Adjust.Word)
	c.trend(at("falls"))
	c.blocks(at("blocks"))
}

// among holds that a choice is one there is.
func among[S ~string](c *checker, at Place, have S, all []S, word func(S) string) {
	if slices.Contains(all, have) {
		return
	}
	words := make([]string, len(all))
	for i, s := range all {
		words[i] = word(s)
	}
	c.refuse(at, "there is no %s %q", at.Field, have).Hint("write one of: %s", quoteAll(words))
}

func (c *checker) trend(at Place) {
	need := map[FallsAs]int{FallTrend: trendFalls, FallTrendPerSpecimen: ownTrendFalls}[c.plan.Analysis.FallsAs]
	if falls := c.plan.Series.Falls; falls >= 1 && falls < need {
		c.refuse(at, "%q needs series of %d falls or more, and these have %d", c.plan.Analysis.FallsAs.Word(), need, falls).
			Hint(`write "levels", or make the series longer`)
	}
}

func (c *checker) blocks(at Place) {
	seen := map[Block]bool{}
	for i, b := range c.plan.Analysis.Blocks {
		at.Element = strconv.Itoa(i)
		switch {
		case !slices.Contains(Blocks(), b):
			c.refuse(at, "%q is no block", b).Hint("the blocks are: %s; specimens are always one", quoteAll(Blocks()))
		case seen[b]:
			c.refuse(at, "the block %q is named twice", b).Hint("name it once")
		case b == RopeBlock && c.plan.ropesCut() < 2:
			c.refuse(at, "all specimens are cut from one rope, which cannot differ from another").Hint("leave the block %q out", b)
		}
		seen[b] = true
	}
}

// ropesCut is the number of ropes that specimens come from; before the draw, that
// they can come from.
func (p *Plan) ropesCut() int {
	ropes := map[string]bool{}
	for _, s := range p.Specimens {
		ropes[s.RopeID()] = true
	}
	if len(p.Specimens) == 0 {
		for _, r := range p.Ropes {
			ropes[r.ID()] = ropes[r.ID()] || p.drawnFrom(r.Lot)
		}
		maps.DeleteFunc(ropes, func(_ string, drawn bool) bool { return !drawn })
	}
	return len(ropes)
}
