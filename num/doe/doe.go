// Package doe designs experiments: conditions from factors (crossed and nested),
// what a choice of conditions can answer, and the draw that says which specimen
// gets which treatment and in what order.
//
// The draw is uniform: each arrangement that the restrictions permit is as likely
// as any other. It is so by construction. The arrangements are counted and one
// number is drawn below the count; nothing is walked until it is "mixed".
package doe

import "errors"

// The refusals of this package, for errors.Is; the texts say more.
var (
	// ErrRange: a number, level or name is not what it has to be.
	ErrRange = errors.New("out of range")
	// ErrNested: a factor is nested in a level that there is not, or in itself.
	ErrNested = errors.New("wrongly nested")
	// ErrEmpty: no arrangement is permitted. The error is an *EmptyError.
	ErrEmpty = errors.New("no arrangement is permitted")
	// ErrTooMany: the restrictions are too many to count the arrangements.
	ErrTooMany = errors.New("too many states")
)
