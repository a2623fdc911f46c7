package planfile

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/trace"
)

// recipePart is the whole of a recipe's file, which has no parts.
var recipePart = part{name: "recipe", keys: append([]key{
	{"name", true, `"tower logger"`, []string{"id", "title"}},
	{"rig", false, `"Boathouse tower"`, []string{"tower"}},
}, askKeys...)}

// ParseRecipe reads a recipe: how the files of a rig's logger are read, as TOML.
// name is what the file is called in refusals. The recipe has no time and nobody
// who made it, which whoever keeps it adds; its rig may be empty.
//
// The error is a problem.List with every fault of the file, like Parse's.
func ParseRecipe(name string, data []byte) (campaign.Recipe, error) {
	r := newReading(name, data)
	root, ok := r.toml()
	if !ok {
		return campaign.Recipe{}, r.err()
	}
	f := r.open(recipePart, root, 0)
	made := campaign.Recipe{Name: f.text("name"), Rig: f.text("rig"), Ask: f.ask()}
	if err := r.err(); err != nil {
		return campaign.Recipe{}, err
	}
	return made, nil
}

// WriteRecipe writes a recipe as ParseRecipe reads it: its name, its rig, and
// what its Ask says; who kept it and when belong to the book, and a side-car to
// its file.
func WriteRecipe(r campaign.Recipe) []byte {
	var b strings.Builder
	b.WriteString("# How trace files are read, as fallwright read takes it with --recipe.\n\n")
	text := func(key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%s = %s\n", key, quoted(value))
		}
	}
	text("name", r.Name)
	text("rig", r.Rig)
	a := r.Ask
	if a.Rate != 0 {
		text("rate", strconv.FormatFloat(a.Rate, 'f', -1, 64)+" Hz")
	}
	for _, k := range []struct{ key, value string }{
		{"force", a.Force},
		{"time", a.Time},
		{"stretch", a.Stretch},
		{"gate", a.Gate},
		{"unit", a.Unit},
		{"delimiter", a.Delimiter},
		{"decimal", a.Decimal},
		{"sheet", a.Sheet},
		{"part", a.Part},
	} {
		text(k.key, k.value)
	}
	if a.FullScale != 0 {
		fmt.Fprintf(&b, "full_scale = %s\n", strconv.FormatFloat(a.FullScale, 'g', -1, 64))
	}
	switch a.Pull {
	case trace.PullPositive:
		text("pull", "positive")
	case trace.PullNegative:
		text("pull", "negative")
	}
	return []byte(b.String())
}

// quoted writes a text as TOML has it, in double quotes.
func quoted(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range text {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c < ' ' || c == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, c)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}
