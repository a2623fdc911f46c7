package study

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// Laws are the laws fitted to the falls of a study, each specimen by itself.
type Laws struct {
	Study     *campaign.Study
	Name      string // of the law
	Specimens []SpecimenLaw
	States    []LawState
	Pending   bool // it is not worked out yet, and the rest is empty
}

// SpecimenLaw is the law of one specimen, or why it has none.
type SpecimenLaw struct {
	Specimen  campaign.Specimen
	Condition string
	Law       *Law
	Refused   error
}

// lawWorkers are as many specimens as are fitted at once.
const lawWorkers = 4

// SpecimenLaw fits a law to the falls of one specimen: to all of them at once where
// three follow each other, else to each by itself.
func (d *Desk) SpecimenLaw(ctx context.Context, name, specimen, law string) (*SpecimenLaw, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	sp, known := s.Plan.Specimen(specimen)
	if !known {
		return nil, problem.New(problem.NotFound, "specimen "+specimen, "the plan of study %s has no such specimen", name)
	}
	if _, err := lawForms(law); err != nil {
		return nil, err
	}
	condition, _ := s.Condition(specimen)
	if all := d.laws.known(lawsState(s, readings, law)); all != nil {
		for _, one := range all.Specimens {
			if one.Specimen.Label == specimen {
				return &one, one.Refused
			}
		}
	}
	state := fmt.Sprintf("law %q of %q, %s", law, specimen, stateOf(s, readings))
	made, err := d.kept.get(ctx, d.mostKept(), keptKey{sha256: state}, func(ctx context.Context) (any, int64, error) {
		l, err := d.specimenLaw(ctx, s, readings, specimen, law)
		return l, keptFindings, err
	})
	if err != nil {
		return nil, err
	}
	return &SpecimenLaw{Specimen: sp, Condition: condition, Law: made.(*Law)}, nil
}

func (d *Desk) specimenLaw(ctx context.Context, s *campaign.Study, readings map[string]StoredReading, specimen, law string) (*Law, error) {
	falls, left, err := d.lawFalls(ctx, s, readings, specimen)
	if err != nil {
		return nil, err
	}
	out := &Law{}
	if len(falls) >= fewestOfSeries {
		if out, err = FitSeries(falls, law); err != nil {
			return nil, located(err, specimen)
		}
	} else {
		if law == AllLaws { // one for all of them
			law = UsualLaw
		}
		for _, f := range falls {
			one, err := FitFall(f, law)
			if err != nil {
				return nil, err
			}
			out.Form, out.Ranks = one.Form, one.Ranks
			out.Falls, out.Fits = append(out.Falls, f), append(out.Fits, one.Fits...)
		}
	}
	out.Left = left
	return out, nil
}

// lawFalls are the falls of a specimen that a law can be fitted to: those that
// count and have a trace, as far as they follow each other. What a rope has been
// through between two others is in neither of their traces.
func (d *Desk) lawFalls(ctx context.Context, s *campaign.Study, readings map[string]StoredReading, specimen string) (falls []LawFall, left []string, err error) {
	var rows []DropRow
	for _, row := range dropRows(s, readings) {
		if row.Drop.Specimen == specimen && row.Drop.Took() {
			rows = append(rows, row)
		}
	}
	slices.SortStableFunc(rows, func(a, b DropRow) int { return a.Drop.Fall - b.Drop.Fall })
	gone := ""
	for _, row := range rows {
		why, number := "", row.Drop.Fall
		switch {
		case row.Drop.Void != nil:
			why = "it is void"
		case row.Drop.Trace == nil || row.Reading == nil:
			why = "it has no trace"
		case gone != "" && len(falls) > 0:
			why = "it follows " + gone
		}
		if why != "" {
			gone = fmt.Sprintf("fall %d, which is left out", number)
			left = append(left, fmt.Sprintf("fall %d is left out: %s", number, why))
			continue
		}
		stored := readings[row.Drop.ID]
		rec, err := d.recording(ctx, row.Drop, stored.Ask)
		if err != nil {
			return nil, nil, err
		}
		f, err := NewLawFall(fmt.Sprintf("%s fall %d", specimen, number), number, rec, stored.Settings)
		if err != nil {
			return nil, nil, err
		}
		f.Rest = row.Rest.Seconds()
		falls = append(falls, f)
	}
	if len(falls) == 0 {
		return nil, nil, problem.New(problem.TooFew, "specimen "+specimen, "it has no fall that counts and has a trace, and a law is fitted to traces").
			Hint("record its falls with their traces")
	}
	return falls, left, nil
}

// Laws fits a law to the series of every specimen of a study, on several cores, and
// pools them by condition and fall. told may be nil. They are kept for the next who
// asks, and given up when all who asked have gone.
func (d *Desk) Laws(ctx context.Context, name, law string, told Progress) (*Laws, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	if law == AllLaws {
		return nil, problem.New(problem.Invalid, "law", "specimens are pooled by the parameters of one law, and all are asked for").
			Hint("name one of them; %s is usual", UsualLaw).Hint("look which suits a specimen: --specimen S --form all")
	}
	if _, err := lawForms(law); err != nil {
		return nil, err
	}
	return d.laws.get(ctx, lawsState(s, readings, law), told, func(ctx context.Context, told Progress) (*Laws, error) {
		return d.fitted(ctx, s, readings, law, told)
	})
}

// LawsAtOnce is Laws where they are known already; else it is Pending.
func (d *Desk) LawsAtOnce(ctx context.Context, name, law string) (*Laws, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	if l := d.laws.known(lawsState(s, readings, law)); l != nil {
		return l, nil
	}
	return &Laws{Study: s, Name: law, Pending: slices.ContainsFunc(s.Counting(), func(o campaign.Drop) bool { return o.Trace != nil })}, nil
}

func lawsState(s *campaign.Study, readings map[string]StoredReading, law string) string {
	return fmt.Sprintf("laws %q, %s", law, stateOf(s, readings))
}

// fitted fits the specimens that were dropped.
func (d *Desk) fitted(ctx context.Context, s *campaign.Study, readings map[string]StoredReading, law string, told Progress) (*Laws, error) {
	out := &Laws{Study: s, Name: law}
	for _, sp := range s.Plan.Specimens {
		if slices.ContainsFunc(s.Counting(), func(o campaign.Drop) bool { return o.Specimen == sp.Label }) {
			condition, _ := s.Condition(sp.Label)
			out.Specimens = append(out.Specimens, SpecimenLaw{Specimen: sp, Condition: condition})
		}
	}
	next, done := make(chan int), 0
	var mu sync.Mutex
	var wait sync.WaitGroup
	for range min(lawWorkers, len(out.Specimens)) {
		wait.Go(func() {
			for i := range next {
				one := &out.Specimens[i]
				one.Law, one.Refused = d.specimenLaw(ctx, s, readings, one.Specimen.Label, law)
				mu.Lock()
				done++
				if told != nil {
					told(done, len(out.Specimens))
				}
				mu.Unlock()
			}
		})
	}
	for i := range out.Specimens {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, one := range out.Specimens {
		if one.Refused != nil && problem.KindOf(one.Refused) == 0 {
			return nil, one.Refused
		}
	}
	var err error
	out.States, err = out.pooled()
	return out, err
}
