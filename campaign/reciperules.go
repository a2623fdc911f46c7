package campaign

import (
	"strings"

	"fallwright.example/problem"
)

// longestName is the most letters of a recipe's name.
const longestName = 60

// Check refuses a recipe without a rig, a name or a time. What the Ask holds is
// the formats' to judge.
func (r Recipe) Check() error {
	var list problem.List
	add := func(what, hint string) {
		list = append(list, problem.New(problem.Invalid, "recipe", "%s", what).Hint("%s", hint).In("the recipe was not kept"))
	}
	name := strings.TrimSpace(r.Name)
	switch {
	case name == "":
		add("it has no name", "call it after the logger or the file: \"tower logger\"")
	case name != r.Name || strings.ContainsFunc(name, func(c rune) bool { return c < ' ' }):
		add("its name begins or ends with a space, or holds a tab or a line break", "write the name in one line")
	case len([]rune(name)) > longestName:
		add("its name is too long", "use up to 60 letters")
	}
	if strings.TrimSpace(r.Rig) == "" {
		add("it belongs to no rig", "give the rig's name as the plan has it")
	}
	if r.At.IsZero() {
		add("it has no time", "say when it was made")
	}
	return list.Err()
}
