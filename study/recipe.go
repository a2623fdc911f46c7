package study

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// KeepRecipe keeps how the files of a rig are read under a name. A recipe of
// that name is replaced, and stays in the book. Invalid when it corrects nothing.
func (d *Desk) KeepRecipe(ctx context.Context, rig, name string, ask trace.Ask, by string) (campaign.Recipe, error) {
	ask.Part, ask.SideCarName, ask.SideCar = "", "", "" // they belong to one file
	if ask == (trace.Ask{}) {
		return campaign.Recipe{}, problem.New(problem.Invalid, "recipe", "it corrects nothing: every file is read so without it").
			Hint("correct something first").In("the recipe was not kept")
	}
	r := campaign.Recipe{Stamp: campaign.Stamp{At: d.now(), By: by}, Rig: rig, Name: name, Ask: ask}
	return r, d.Store.PutRecipe(ctx, r)
}

// Recipes lists the newest recipe of each name, of one rig or of all when rig
// is empty, by name.
func (d *Desk) Recipes(ctx context.Context, rig string) ([]campaign.Recipe, error) {
	all, err := d.Store.Recipes(ctx, rig)
	if d.Zone != nil {
		for i := range all {
			all[i].At = all[i].At.In(d.Zone)
		}
	}
	return all, err
}

// Recipe is the recipe of that name for a rig. NotFound when there is none.
func (d *Desk) Recipe(ctx context.Context, rig, name string) (campaign.Recipe, error) {
	all, err := d.Recipes(ctx, rig)
	if err != nil {
		return campaign.Recipe{}, err
	}
	if i := slices.IndexFunc(all, func(r campaign.Recipe) bool { return r.Name == name }); i >= 0 {
		return all[i], nil
	}
	p := problem.New(problem.NotFound, "recipe", "there is no recipe %q for the rig %s", name, rig)
	names := make([]string, len(all))
	for i, r := range all {
		names[i] = r.Name
	}
	if len(names) > 0 {
		p.Hint("its recipes are: %s", strings.Join(names, ", "))
	}
	return campaign.Recipe{}, p
}

func itoa(n int) string { return strconv.Itoa(n) }
