package study

import (
	"slices"
	"strings"

	"fallwright.example/compare"
)

// Unmodelled is what varies, or not, beside the models, and goes with them in one
// way.
type Unmodelled struct {
	Where compare.Where
	Said  string   // what that means for the findings
	Items []string // each with its range or levels
}

// unmodelledSaid says what each way means. A name that stands with the conditions
// is the most dangerous one, and comes first.
var unmodelledSaid = []struct {
	where compare.Where
	said  string
}{
	{compare.WithCondition, "Goes with the condition, so that a finding is of the two together"},
	{compare.WithFall, "Goes with the fall, so that what is found of falls is of the two together"},
	{compare.WithBoth, "Goes with condition and fall in another way, and cannot be told from them"},
	{compare.WithinCell, "Differs among falls that are compared as alike; what it does is in their spread"},
	{compare.Constant, "The same throughout; the findings hold for that"},
}

// Unmodelled groups what was recorded and is in no model, once for all of them;
// what is not so in every model is marked with its measure. Nothing without
// checks.
func (f *Findings) Unmodelled() []Unmodelled {
	var all []Model
	for _, m := range f.Measures {
		all = append(all, slices.DeleteFunc(slices.Clone(m.Models), func(m Model) bool { return m.Checks == nil })...)
	}
	var out []Unmodelled
	for _, way := range unmodelledSaid {
		u := Unmodelled{Where: way.where, Said: way.said}
		in := map[string][]string{} // the measures that each is of
		of := 0
		for _, m := range all {
			for _, h := range m.Checks.Hidden {
				if h.Where != way.where {
					continue
				}
				text := item(h)
				if in[text] == nil {
					u.Items = append(u.Items, text)
				}
				in[text] = append(in[text], string(m.Measure))
			}
			of++
		}
		for i, text := range u.Items {
			if len(in[text]) < of {
				u.Items[i] += " (" + strings.Join(slices.Compact(in[text]), ", ") + ")"
			}
		}
		if len(u.Items) > 0 {
			out = append(out, u)
		}
	}
	return out
}

// item is a hidden factor without what its group says of all.
func item(h compare.Hidden) string {
	if h.Where == compare.Constant {
		return h.Name
	}
	text := h.Said
	for _, end := range []string{
		", not in the model; as a covariate its effect would be taken out",
		", not in the model; as a block its differences would be taken out of the residual",
		" among values of one condition at one fall",
		": nothing here can tell " + h.Name + " from the condition; findings are of the two together",
		": nothing here can tell " + h.Name + " from the fall; findings are of the two together",
		", the same inside each condition at each fall: nothing here can tell " + h.Name + " from the condition and its falls; findings are of the two together",
	} {
		text = strings.Replace(text, end, "", 1)
	}
	return text
}

// Line is the group in one sentence.
func (u Unmodelled) Line() string {
	mark := "; "
	if u.Where == compare.Constant {
		mark = ", "
	}
	return u.Said + ": " + strings.Join(u.Items, mark)
}
