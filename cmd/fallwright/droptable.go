package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/planfile"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// tableRun is a table of drops being recorded in a study.
type tableRun struct {
	desk      *study.Desk
	name, by  string
	table     string
	say, warn terminal

	stored, there int
}

// record records every line that the study does not have, and says each once it
// is stored. It stops at the first line that cannot be recorded, and at one that
// says something else than the drop it stands for.
func (r *tableRun) record(ctx context.Context) error {
	data, err := os.ReadFile(r.table)
	if err != nil {
		return cannotOpen(r.table, err)
	}
	rows, err := planfile.ParseDrops(r.table, data)
	if err != nil {
		return err
	}
	overview, err := r.desk.Overview(ctx, r.name)
	if err != nil {
		return err
	}
	have := r.match(rows, overview.Study.Drops)
	for i, row := range rows {
		if drop := have[i].drop; drop != nil {
			if err := r.settle(row, have[i]); err != nil {
				return r.atLine(err, row.Line, len(rows))
			}
			r.there++
			continue
		}
		line, err := r.recordRow(ctx, row)
		if err != nil {
			return r.atLine(err, row.Line, len(rows))
		}
		r.stored++
		r.say.line("stored %s", line)
	}
	return nil
}

func (r *tableRun) recordRow(ctx context.Context, row planfile.DropRow) (string, error) {
	if row.Drop.By == "" {
		row.Drop.By = r.by
	}
	if row.Drop.Void != nil && row.Drop.Void.By == "" {
		row.Drop.Void.By = row.Drop.By
	}
	release := study.Release{Drop: row.Drop}
	if row.TracePath != "" {
		data, err := r.trace(row)
		if err != nil {
			return "", err
		}
		release.Trace, release.Name = data, filepath.Base(row.TracePath)
	}
	drop, reading, err := r.desk.AddDrop(ctx, r.name, release)
	if err != nil {
		return "", err
	}
	line := dropName(drop)
	if reading != nil {
		line += "  " + si(reading.PeakForce, 1e3, 2, "kN")
	}
	if drop.Void != nil {
		line += "  void: " + drop.Void.Reason
	}
	return line, nil
}

// trace reads the file that a line names, from the folder of the table.
func (r *tableRun) trace(row planfile.DropRow) ([]byte, error) {
	path := row.TracePath
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(r.table), path)
	}
	data, err := os.ReadFile(path)
	if err == nil {
		return data, nil
	}
	if os.IsNotExist(err) {
		return nil, problem.New(problem.NotFound, path, "there is no such file").
			Hint("the column trace says %s, which is looked for from the folder of the table, %s", row.TracePath, filepath.Dir(r.table)).
			Hint("leave the column empty when no trace was recorded")
	}
	return nil, cannotOpen(path, err)
}

// held is the drop of the book that a line stands for, and how they differ.
type held struct {
	drop     *campaign.Drop
	differ   []string // in words, without the void
	voided   bool     // in the book, and not in the line
	unvoided bool     // in the line, and not in the book
}

func (h held) same() bool { return len(h.differ) == 0 && !h.voided && !h.unvoided }

// match finds for each line the drop that it stands for: of the same kind,
// specimen, fall and time. A drop is taken by one line only, first by a line
// that says the same, then by one that differs. A line whose drop was voided
// without having loaded the rope, and that says something else now, is a new
// drop.
func (r *tableRun) match(rows []planfile.DropRow, drops []campaign.Drop) []held {
	out := make([]held, len(rows))
	taken := make([]bool, len(drops))
	for _, wanted := range []func(held) bool{
		held.same,
		func(h held) bool { return !h.voided || h.drop.Void.Loaded || len(h.differ) == 0 },
	} {
		for i, row := range rows {
			if out[i].drop != nil {
				continue
			}
			for j := range drops {
				if taken[j] || !isSame(drops[j], row.Drop) {
					continue
				}
				if h := r.compare(row, &drops[j]); wanted(h) {
					out[i], taken[j] = h, true
					break
				}
			}
		}
	}
	return out
}

func isSame(a, b campaign.Drop) bool {
	return a.Kind == b.Kind && a.Specimen == b.Specimen && a.Fall == b.Fall && a.At.Equal(b.At)
}

// compare says how a line differs from a drop of the book. What the line leaves
// to others (its setting, who released it) does not differ.
func (r *tableRun) compare(row planfile.DropRow, have *campaign.Drop) held {
	h := held{drop: have}
	line := row.Drop
	differ := func(format string, args ...any) { h.differ = append(h.differ, fmt.Sprintf(format, args...)) }
	if line.Setting != "" && line.Setting != have.Setting {
		differ("setting %q, the book %q", line.Setting, have.Setting)
	}
	if line.By != "" && line.By != have.By {
		differ("by %q, the book %q", line.By, have.By)
	}
	if line.Note != have.Note {
		differ("note %q, the book %q", line.Note, have.Note)
	}
	if line.GateTime != have.GateTime {
		differ("gate time %g ms, the book %g ms", 1e3*line.GateTime, 1e3*have.GateTime)
	}
	if text := r.otherTrace(row, have); text != "" {
		differ("%s", text)
	}
	switch {
	case line.Void == nil:
		h.voided = have.Void != nil
	case have.Void == nil:
		h.unvoided = true
	case line.Void.Reason != have.Void.Reason || line.Void.Loaded != have.Void.Loaded:
		differ("void %q%s, the book %q%s", line.Void.Reason, loadedText(line.Void.Loaded), have.Void.Reason, loadedText(have.Void.Loaded))
	}
	return h
}

func loadedText(loaded bool) string {
	if loaded {
		return " (loaded)"
	}
	return " (not loaded)"
}

// otherTrace says how the trace that a line names is another than the book's.
func (r *tableRun) otherTrace(row planfile.DropRow, have *campaign.Drop) string {
	switch {
	case row.TracePath == "": // not said
		return ""
	case have.Trace == nil:
		return fmt.Sprintf("trace %s, the book none", row.TracePath)
	}
	data, err := r.trace(row)
	if err != nil { // gone since: the name is all there is
		if filepath.Base(row.TracePath) != have.Trace.Name {
			return fmt.Sprintf("trace %s, which is not there, the book %s", row.TracePath, have.Trace.Name)
		}
		return ""
	}
	if sum := sha256.Sum256(data); hex.EncodeToString(sum[:]) != have.Trace.SHA256 {
		return fmt.Sprintf("trace %s with SHA-256 %.8s…, the book %s with %.8s…", row.TracePath, hex.EncodeToString(sum[:]), have.Trace.Name, have.Trace.SHA256)
	}
	if part := row.Drop.Part; part != "" && !strings.EqualFold(part, have.Part) && !strings.EqualFold(r.partName(row, data), have.Part) {
		return fmt.Sprintf("part %q of %s, the book %q", part, row.TracePath, have.Part)
	}
	return ""
}

// partName is the name that a file gives to the part of a line, or "".
func (r *tableRun) partName(row planfile.DropRow, data []byte) string {
	s, err := r.desk.Store.Study(context.Background(), r.name)
	if err != nil {
		return ""
	}
	ask := s.Plan.Reading.Ask
	ask.Part = row.Drop.Part
	file, err := r.desk.Read(row.TracePath, data, ask)
	if err != nil {
		return ""
	}
	if len(file.Parts) == 1 {
		return file.Parts[0].Part
	}
	for i, p := range file.Parts {
		if fmt.Sprint(i+1) == row.Drop.Part {
			return p.Part
		}
	}
	return ""
}

// settle passes over a line whose drop is in the book, remarks on one that was
// voided since, and refuses one that says something else.
func (r *tableRun) settle(row planfile.DropRow, h held) error {
	name := dropName(*h.drop)
	if len(h.differ) == 0 && !h.unvoided {
		if h.voided {
			r.warn.line("%s:%d: %s is void in the book: %s", r.table, row.Line, name, h.drop.Void.Reason)
		}
		return nil
	}
	says := h.differ
	if h.unvoided {
		says = append(says, fmt.Sprintf("void %q%s, the book no void", row.Drop.Void.Reason, loadedText(row.Drop.Void.Loaded)))
	}
	p := problem.New(problem.Conflict, name, "the drop is in the book, and this line says otherwise: %s", strings.Join(says, "; ")).
		Hint("if the book is right, write the line as it is there")
	fall := fmt.Sprintf("%s/%d", h.drop.Specimen, h.drop.Fall)
	switch {
	case h.drop.Kind != campaign.Fall || h.drop.Void != nil:
		p.Hint(`if the line is right, record what the book has wrong: fallwright book deviate "%s: ..."`, name)
	case h.unvoided && len(h.differ) == 0:
		flag := map[bool]string{true: "--loaded", false: "--not-loaded"}[row.Drop.Void.Loaded]
		p.Hint("if the line is right, void the fall: fallwright book void %s --because %q %s", fall, row.Drop.Void.Reason, flag)
	default:
		p.Hint(`if the line is right, void the fall, and run the table again to record it anew: fallwright book void %s --because "recorded wrongly" --not-loaded`, fall)
	}
	return p
}

// atLine puts the table's line and what is stored on a refusal.
func (r *tableRun) atLine(err error, line, of int) error {
	problems := problem.All(err)
	if len(problems) == 0 {
		return err
	}
	for _, p := range problems {
		p.Where = strings.TrimSuffix(fmt.Sprintf("%s:%d: %s", r.table, line, p.Where), ": ")
	}
	last := problems[len(problems)-1]
	last.State = fmt.Sprintf("in the book up to this line: %d of %s; mend the line and run it again", r.stored+r.there, figure.Counted(of, "drop"))
	return problem.List(problems)
}

func dropName(d campaign.Drop) string {
	switch {
	case d.Kind == campaign.Fall:
		return fmt.Sprintf("%s fall %d", d.Specimen, d.Fall)
	case d.Specimen != "":
		return fmt.Sprintf("%s %s", d.Specimen, d.Kind)
	}
	return string(d.Kind) + " at " + d.At.Format("15:04:05")
}

// counted spells a number of things whose many have a form of their own.
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func were(n int) string {
	if n == 1 {
		return "1 was"
	}
	return fmt.Sprintf("%d were", n)
}
