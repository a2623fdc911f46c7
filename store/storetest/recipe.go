package storetest

import (
	"math"
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// keeps holds that these are the recipes given for a rig.
func keeps(t *testing.T, s Subject, rig string, want ...campaign.Recipe) {
	t.Helper()
	got, err := s.Recipes(t.Context(), rig)
	done(t, err)
	if d := diff(want, got); d != "" {
		t.Errorf("the recipes of %q are not as they should be (-want +got):\n%s", rig, d)
	}
}

var recipeQuestions = []question{
	{"a recipe comes back whole", func(t *testing.T, s Subject) {
		keeps(t, s, "")
		r := Recipe("Boathouse tower", "tower logger", 3)
		if missing := unfilled(r); len(missing) > 0 {
			t.Errorf("the exam is blind to %q: fill them in sample.go", missing)
		}
		done(t, s.PutRecipe(t.Context(), r))
		keeps(t, s, "Boathouse tower", r)
		if odd := notUTC(mustRecipes(t, s)); len(odd) > 0 {
			t.Errorf("times that are not whole milliseconds in UTC: %q", odd)
		}
	}},
	{"recipes are listed by name, the newest of each, of one rig or all", func(t *testing.T, s Subject) {
		old, fresh := Recipe("Boathouse tower", "tower logger", 9), Recipe("Boathouse tower", "tower logger", 4)
		bench, quarry := Recipe("Boathouse tower", "bench", 5), Recipe("Quarry tower", "tower logger", 6)
		for _, r := range []campaign.Recipe{old, quarry, fresh, bench} { // the newest is the last kept, whatever its clock says
			done(t, s.PutRecipe(t.Context(), r))
		}
		keeps(t, s, "Boathouse tower", bench, fresh)
		keeps(t, s, "Quarry tower", quarry)
		keeps(t, s, "", bench, fresh, quarry)
		keeps(t, s, "no such rig")
	}},
	{"a recipe that is refused", func(t *testing.T, s Subject) {
		good := Recipe("Boathouse tower", "tower logger", 3)
		done(t, s.PutRecipe(t.Context(), good))
		for what, spoil := range map[string]func(*campaign.Recipe){
			"no name":                func(r *campaign.Recipe) { r.Name = "" },
			"a name of spaces":       func(r *campaign.Recipe) { r.Name = "  " },
			"a name over two lines":  func(r *campaign.Recipe) { r.Name = "a\nb" },
			"a name that is a novel": func(r *campaign.Recipe) { r.Name = strings.Repeat("a", 61) },
			"no rig":                 func(r *campaign.Recipe) { r.Rig = "" },
			"no time":                func(r *campaign.Recipe) { r.At = time.Time{} },
			"a rate that is no rate": func(r *campaign.Recipe) { r.Ask.Rate = math.NaN() },
		} {
			r := good
			spoil(&r)
			refused(t, s, problem.Invalid, what, func() error { return s.PutRecipe(t.Context(), r) })
		}
		keeps(t, s, "", good)
	}},
	{"recipes stay in the book", func(t *testing.T, s Subject) {
		r := Recipe("Boathouse tower", "tower logger", 3)
		done(t, s.PutRecipe(t.Context(), r))
		again := s.Again(t)
		got, err := again.Recipes(t.Context(), "")
		done(t, err)
		if d := diff([]campaign.Recipe{r}, got); d != "" {
			t.Errorf("beside the open book (-want +got):\n%s", d)
		}
	}},
}

func mustRecipes(t *testing.T, s Subject) []campaign.Recipe {
	t.Helper()
	list, err := s.Recipes(t.Context(), "")
	done(t, err)
	return list
}
