package planfile

import (
	"fallwright.example/campaign"
)

// The words for how the residual spread is taken.
const oneSpread, spreadByCondition = "equal", "by condition"

// analysis reads the model that findings come from; what is not given keeps its
// default.
func (f form) analysis() campaign.AnalysisRule {
	a := campaign.AnalysisRule{
		FallsAs:           chosen(f, "falls", campaign.FallsAsAll(), campaign.FallsAs.Word),
		SpreadByCondition: f.word("spread", []string{oneSpread, spreadByCondition}) == spreadByCondition,
		DF:                chosen(f, "df", campaign.DFs(), campaign.DF.Word),
		Adjust:            chosen(f, "adjust", campaign.Adjusts(), campaign.Adjust.Word),
	}
	blocks, _ := f.texts("blocks")
	for _, b := range blocks {
		a.Blocks = append(a.Blocks, campaign.Block(b))
	}
	return a
}

// chosen reads one of the words that a choice has; the first when it is not
// given.
func chosen[S ~string](f form, name string, all []S, word func(S) string) S {
	words := make([]string, len(all))
	for i, s := range all {
		words[i] = word(s)
	}
	said := f.word(name, words)
	for i, w := range words {
		if w == said {
			return all[i]
		}
	}
	return all[0]
}
