package problem

import (
	"errors"
	"fmt"
	"testing"
)

func TestProblem(t *testing.T) {
	p := New(Invalid, "--rate", "%d Hz, above %d", 7, 5).Hint("say --rate %d", 5).In("nothing was read")
	if got := p.Error(); got != "--rate: 7 Hz, above 5" {
		t.Errorf("one line: %q", got)
	}
	if (&Problem{What: "plain"}).Error() != "plain" {
		t.Error("a problem without a place got one")
	}
	if len(p.Hints) != 1 || p.Hints[0] != "say --rate 5" || p.State != "nothing was read" {
		t.Errorf("hints %q, state %q", p.Hints, p.State)
	}
}

func TestList(t *testing.T) {
	if err := (List{}).Err(); err != nil {
		t.Errorf("an empty list is the error %v", err)
	}
	a, b := New(NotFound, "a", "gone"), New(Conflict, "b", "taken")
	err := fmt.Errorf("while storing: %w", List{a, b}.Err())
	if all := All(err); len(all) != 2 || all[1] != b {
		t.Errorf("inside the list: %v", all)
	}
	if KindOf(err) != NotFound || KindOf(fmt.Errorf("x: %w", b)) != Conflict {
		t.Error("the kind of the first problem was not found")
	}
	if KindOf(errors.New("the program's own fault")) != 0 || All(nil) != nil {
		t.Error("a plain error became a problem")
	}
	if got := (List{a, b}).Error(); got != "a: gone\nb: taken" {
		t.Errorf("list: %q", got)
	}
}
