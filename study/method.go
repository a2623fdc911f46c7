package study

import (
	"strings"

	"fallwright.example/campaign"
)

// method is the analysis in words, with what it does not do.
func method(rule campaign.AnalysisRule) string {
	parts := []string{
		"A linear mixed model, fitted by restricted maximum likelihood, takes all falls of all conditions together.",
		map[campaign.FallsAs]string{
			campaign.FallLevels:           "Each condition has a mean of its own at each fall.",
			campaign.FallTrend:            "Each condition has a straight line of its own over the falls.",
			campaign.FallTrendPerSpecimen: "Each condition has a straight line of its own over the falls, and specimens differ from it in level and slope.",
		}[rule.FallsAs],
		"Specimens differ at random" + blocksSaid(rule.Blocks) + ", and the falls of a specimen differ at random besides" + spreadSaid(rule.SpreadByCondition) + ".",
		"A margin in per cent is judged on logarithms, so the figure is a ratio of geometric means; a margin in a unit on the values as they are.",
		map[campaign.DF]string{
			campaign.KenwardRoger:  "Standard errors and degrees of freedom are those of Kenward and Roger, which hold with few specimens.",
			campaign.Satterthwaite: "Degrees of freedom are Satterthwaite's.",
		}[rule.DF],
		map[campaign.Adjust]string{
			campaign.NoAdjustment: "It is not adjusted for several questions: of twenty without any true difference, about one interval excludes zero.",
			campaign.Holm:         "The p values of the questions about one value are adjusted together by Holm's method, their intervals by Bonferroni's share.",
			campaign.Joint:        "The questions about one value are adjusted together by the multivariate t of their estimates.",
		}[rule.Adjust],
		"Odd values and specimens are named, never left out.",
		"A verdict of higher or lower says that a difference was seen and that its best estimate matters, not that the true difference is known to exceed the margin.",
	}
	return strings.Join(parts, " ")
}

func blocksSaid(blocks []campaign.Block) string {
	text := ""
	for _, b := range blocks {
		text += ", " + string(b) + "s likewise"
	}
	return text
}

func spreadSaid(byCondition bool) string {
	if byCondition {
		return ", in each condition with a spread of its own"
	}
	return ", with one spread in all conditions"
}

// assumptions is what the model takes to be so, with the check that looks at it.
func assumptions(rule campaign.AnalysisRule) []Assumption {
	out := []Assumption{
		{"The specimens of a condition stand for all that the condition is to be said of, and were dealt to it by chance.", "what varies and is not in the model; the re-randomisation test"},
		{"Specimens are independent of each other but for what is in the model.", "order, day and rope"},
		{"Specimens differ as much in one condition as in another, and normally.", "influence of each specimen"},
		{"What is left over of a fall is normal.", "normal quantiles and test"},
		{"What is left over of a fall hangs together with nothing else: neighbouring falls are no more alike than distant ones.", "trends of single specimens"},
		{"A fall that is missing is missing for a reason that has nothing to do with its value.", ""},
	}
	if !rule.SpreadByCondition {
		out = append(out, Assumption{"What is left over spreads as much in one condition as in another.", "residuals against fitted values; spread by condition"})
	}
	if rule.FallsAs != campaign.FallLevels {
		out = append(out, Assumption{"From fall to fall a condition goes along a straight line.", "residuals against fitted values"})
	}
	return out
}
