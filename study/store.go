package study

import (
	"context"

	"fallwright.example/campaign"
	"fallwright.example/trace"
)

// Store is a book: everything that studies have recorded. store/storetest is
// its exam.
//
// Each method that writes is one transaction: it is stored whole or not at
// all, also when the process is killed. A nil error means it is on the disk.
//
// Refusals are *problem.Problem: NotFound when the study, drop or trace named
// is not there, Conflict when a rule of the study forbids the write. Rules are
// campaign's: a write loads the study inside its transaction, asks the study,
// and then writes.
type Store interface {
	// AddStudy stores a new study with the file it came from. Conflict when the
	// book has a study of that name.
	AddStudy(ctx context.Context, s *campaign.Study, file []byte) error
	// ReplacePlan puts a new plan in the place of an unfrozen one and keeps the
	// old file. Conflict when the plan is frozen or has drops that the new plan
	// could not hold.
	ReplacePlan(ctx context.Context, name string, plan campaign.Plan, file campaign.SourceFile, data []byte, by campaign.Stamp) error
	// FreezePlan freezes the plan. Conflict when it is frozen already.
	FreezePlan(ctx context.Context, name string, f campaign.Freeze) error

	// Studies lists the book's studies, the newest first.
	Studies(ctx context.Context) ([]Summary, error)
	// Study loads a study whole, without trace bytes.
	Study(ctx context.Context, name string) (*campaign.Study, error)

	// AddDrop stores a drop, its trace's bytes if it has one, and the reading
	// taken from them if there is one.
	AddDrop(ctx context.Context, name string, d campaign.Drop, data []byte, r *StoredReading) error
	// VoidDrop marks a drop void.
	VoidDrop(ctx context.Context, name, dropID string, v campaign.Void) error
	// AddReading stores a new reading of a drop; the older ones are kept.
	AddReading(ctx context.Context, name, dropID string, r StoredReading) error
	// AddWeighing stores a weighing.
	AddWeighing(ctx context.Context, name string, w campaign.Weighing) error
	// AddGauging stores a gauging.
	AddGauging(ctx context.Context, name string, g campaign.Gauging) error
	// AddPull stores a pull, and its trace's bytes if it has one.
	AddPull(ctx context.Context, name string, p campaign.Pull, data []byte) error
	// AddDeviation stores a deviation.
	AddDeviation(ctx context.Context, name string, d campaign.Deviation) error

	// PutRecipe keeps a recipe, or a new one under the name of an old: the old
	// one stays in the book, and is no longer given.
	PutRecipe(ctx context.Context, r campaign.Recipe) error
	// Recipes lists the newest recipe of each name, of one rig or of all when rig
	// is empty, by name.
	Recipes(ctx context.Context, rig string) ([]campaign.Recipe, error)

	// File returns bytes kept under a SHA-256, having checked that they still
	// have it. A mismatch is a Problem of kind Unreadable.
	File(ctx context.Context, sha256 string) ([]byte, error)
	// Readings returns the newest reading of each drop of a study, by drop ID. What
	// is inside them may be shared with others who asked: it must not be changed.
	Readings(ctx context.Context, name string) (map[string]StoredReading, error)
	// ReadingsOf returns every reading of one drop, the newest first. NotFound
	// when the study has no such drop.
	ReadingsOf(ctx context.Context, name, dropID string) ([]StoredReading, error)

	// Examine checks the book itself: the database's own integrity check, the
	// schema version, foreign keys, and the SHA-256 of every file kept. It
	// returns how much it looked at; a fault found is a Problem.
	Examine(ctx context.Context) (Examination, error)
	Close() error
}

// Summary is one line of the list of studies.
type Summary struct {
	Name     string
	Title    string
	Invented bool
	Created  campaign.Stamp
	Frozen   bool
	Counting int // falls that count
	Planned  int // falls that the plan wants
}

// StoredReading is a reading with what it was taken by.
type StoredReading struct {
	ID string
	campaign.Stamp
	Program  string    // name and version that took it
	Ask      trace.Ask // how the file was read, with the part
	Settings trace.Settings
	Reading  trace.Reading
}

// Examination is what Examine looked at.
type Examination struct {
	Schema  int // version
	Studies int
	Drops   int
	Files   int
	Bytes   int64
}
