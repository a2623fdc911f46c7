package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// drops are what one file held, or why it could not be read.
type drops struct {
	name     string
	layout   trace.Layout
	parts    []string
	readings []*trace.Reading
	signals  []*trace.Signal // kept only when they are drawn
	rows     [][]byte        // as JSON, when that is asked for
	err      error
}

// traceNames are the ends of the names of files that a folder is searched for.
var traceNames = []string{".csv", ".txt", ".tsv", ".dat", ".asc", ".xlsx", ".wav", ".parquet", ".uff", ".unv"}

// expand turns folders and patterns into files, each once, in the order given
// and by name within. A name that is there is never taken for a pattern.
func expand(names []string) ([]string, error) {
	var out []string
	seen := map[string]bool{}
	add := func(files ...string) {
		for _, f := range files {
			if !seen[f] {
				seen[f] = true
				out = append(out, f)
			}
		}
	}
	for _, name := range names {
		info, err := os.Stat(name)
		switch {
		case err == nil && info.IsDir():
			files, err := inFolder(name)
			if err != nil {
				return nil, err
			}
			add(files...)
		case err != nil && strings.ContainsAny(name, "*?["):
			files, globErr := filepath.Glob(name)
			if globErr != nil || len(files) == 0 {
				return nil, problem.New(problem.NotFound, name, "no file has such a name").
					Hint("* stands for any letters, ? for one; quote a name that has them").In("nothing was read")
			}
			slices.Sort(files)
			add(files...)
		default:
			add(name)
		}
	}
	return out, nil
}

// inFolder lists the traces in a folder, not in those below it.
func inFolder(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, cannotOpen(folder, err)
	}
	var out []string
	for _, e := range entries {
		bare := strings.ToLower(e.Name())
		for _, packed := range []string{".gz", ".zst"} {
			bare = strings.TrimSuffix(bare, packed)
		}
		if e.Type().IsRegular() && slices.Contains(traceNames, filepath.Ext(bare)) && !strings.HasPrefix(bare, ".") {
			out = append(out, filepath.Join(folder, e.Name()))
		}
	}
	if len(out) == 0 {
		return nil, problem.New(problem.NotFound, folder, "the folder holds no file whose name ends as a trace's does: %s", strings.Join(traceNames, " ")).
			Hint("name the files in it, whatever they are called: %s/*", strings.TrimRight(folder, "/")).In("nothing was read")
	}
	return out, nil
}

// garbage is the share of what is in use, in percent, that may be garbage before it
// is looked for: little is in use while files are read, and all of each goes at
// once.
const garbage = 400

// readAhead is how many files may be read beyond the one that is given next.
const readAhead = 64

// each reads files on all cores and gives them to take in their order.
func (a *readAsk) each(cmd *cobra.Command, files []string, take func(drops) error) error {
	defer debug.SetGCPercent(debug.SetGCPercent(garbage))
	known := readers()
	bar := progress(cmd, len(files))
	defer bar.stop()
	slots := make([]chan drops, len(files))
	for i := range slots {
		slots[i] = make(chan drops, 1)
	}
	next := make(chan int)
	room := make(chan struct{}, readAhead)
	stop := make(chan struct{})
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(files)) {
		wait.Go(func() {
			r := reader{ask: a, known: known}
			for i := range next {
				slots[i] <- r.drops(files[i])
			}
		})
	}
	go func() {
		defer close(next)
		for i := range files {
			select {
			case room <- struct{}{}:
			case <-stop:
				return
			}
			select {
			case next <- i:
			case <-stop:
				return
			}
		}
	}()
	var err error
	for i := range files {
		if err = cmd.Context().Err(); err != nil {
			break
		}
		d := <-slots[i]
		<-room
		bar.one()
		if err = take(d); err != nil {
			break
		}
	}
	close(stop)
	wait.Wait()
	return err
}

// reader reads one file after the other.
type reader struct {
	ask   *readAsk
	known *traceio.Readers
	room  []byte // for the bytes of a file, used again
}

// drops reads a file and takes the readings of its drops.
func (r *reader) drops(name string) drops {
	d := drops{name: name}
	if d.err = r.fill(&d); d.err != nil {
		d.readings = nil
	}
	if r.ask.asJSON {
		rows, err := r.ask.jsonRows(d)
		if d.rows = rows; d.err == nil {
			d.err = err
		}
	}
	return d
}

func (r *reader) fill(d *drops) error {
	file, err := r.open(d.name)
	if file != nil {
		d.layout = file.Layout
	}
	if err != nil {
		return err
	}
	for _, rec := range file.Parts {
		reading, signal, err := r.take(rec)
		if err != nil {
			where := d.name
			if rec.Part != "" {
				where += ", drop " + rec.Part
			}
			for _, p := range problem.All(err) {
				p.Where = strings.TrimSuffix(where+": "+p.Where, ": ")
			}
			return err
		}
		d.parts, d.readings = append(d.parts, rec.Part), append(d.readings, reading)
		if signal != nil {
			d.signals = append(d.signals, signal)
		}
	}
	if len(d.signals) == 0 { // nothing holds on to a sample
		traceio.Reuse(file)
	}
	return nil
}

// take takes a reading, with its signal where that is drawn.
func (r *reader) take(rec *trace.Recording) (*trace.Reading, *trace.Signal, error) {
	if r.ask.plot != "" {
		return trace.Take(rec, r.ask.set)
	}
	reading, err := trace.Read(rec, r.ask.set)
	return reading, nil, err
}

// bigFile is the size from which a file is not held where its format can do without.
const bigFile = 4 << 20

func (r *reader) open(name string) (*trace.File, error) {
	if info, err := os.Stat(name); err == nil && info.Mode()&os.ModeNamedPipe != 0 && name != "/dev/stdin" {
		return nil, problem.New(problem.Unreadable, name, "this is a pipe, which may never end").
			Hint("write what comes out of it to a file and read that").In("nothing was read from " + name)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, cannotOpen(name, err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, cannotOpen(name, err)
	}
	ask := r.ask.file
	for _, bare := range slices.Compact([]string{name, strings.TrimSuffix(strings.TrimSuffix(name, ".gz"), ".zst")}) {
		if text, err := os.ReadFile(bare + ".toml"); err == nil {
			ask.SideCarName, ask.SideCar = bare+".toml", string(text)
			break
		}
	}
	if info.Mode().IsRegular() && info.Size() > bigFile {
		file, err := r.known.ReadLong(name, f, info.Size(), ask)
		if err != nil && len(problem.All(err)) == 0 {
			err = cannotOpen(name, err)
		}
		return file, err
	}
	data, err := r.bytes(f, info)
	if err != nil {
		return nil, cannotOpen(name, err)
	}
	return r.known.Read(name, data, ask)
}

// bytes are those of a file that is not big, until the next is read, or of what is
// no file. Formats keep no part of them.
func (r *reader) bytes(f *os.File, info os.FileInfo) ([]byte, error) {
	size := info.Size()
	if !info.Mode().IsRegular() || size == 0 {
		return io.ReadAll(f)
	}
	if int64(cap(r.room)) < size {
		r.room = make([]byte, size+size/4)
	}
	n, err := io.ReadFull(f, r.room[:size])
	if err == io.ErrUnexpectedEOF { // shorter by now than it was
		err = nil
	}
	return r.room[:n], err
}

// bar shows progress on a terminal, and nothing elsewhere.
type bar struct {
	all *mpb.Progress
	one func()
}

func progress(cmd *cobra.Command, files int) bar {
	out, ok := cmd.ErrOrStderr().(*os.File)
	if !ok || files < 8 {
		return bar{one: func() {}}
	}
	if info, err := out.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return bar{one: func() {}}
	}
	all := mpb.New(mpb.WithOutput(out), mpb.WithWidth(40))
	b := all.AddBar(int64(files), mpb.BarRemoveOnComplete(),
		mpb.PrependDecorators(decor.Name("reading "), decor.CountersNoUnit("%d of %d")), mpb.AppendDecorators(decor.AverageETA(decor.ET_STYLE_GO)))
	return bar{all: all, one: func() { b.Increment() }}
}

func (b bar) stop() {
	if b.all != nil {
		b.all.Shutdown()
	}
}

// cannotOpen says why a file cannot be had, without the system's own words.
func cannotOpen(name string, err error) error {
	p := problem.New(problem.NotFound, name, "there is no such file")
	switch {
	case os.IsNotExist(err):
		return p.Hint("look at the spelling; a name with spaces needs quotes")
	case os.IsPermission(err):
		p.What = "this user may not read it"
		return p.Hint("chmod +r %s", name)
	}
	if info, statErr := os.Stat(name); statErr == nil && info.IsDir() {
		p.What = "this is a folder"
		return p.Hint("name the files in it: %s/*.csv", strings.TrimRight(name, "/"))
	}
	p.What = fmt.Sprintf("it cannot be read: %v", errCause(err))
	return p.Hint("look at the path: a part of it may be no folder")
}

// errCause is the system's reason without the path, which is said already.
func errCause(err error) error {
	if p, ok := err.(*os.PathError); ok {
		return p.Err
	}
	return err
}

// cannotWrite says why a file cannot be written.
func cannotWrite(name string, err error) error {
	p := problem.New(problem.Invalid, name, "it cannot be written: %v", errCause(err))
	switch {
	case os.IsExist(err):
		p = problem.New(problem.Conflict, name, "there is such a file already").Hint("choose another name: it is not overwritten")
	case os.IsNotExist(err):
		p = problem.New(problem.NotFound, name, "its folder is not there").Hint("make it first: mkdir -p %s", filepath.Dir(name))
	case os.IsPermission(err):
		p = problem.New(problem.Invalid, name, "this user may not write there").Hint("choose another place")
	default:
		p.Hint("choose another place")
	}
	return p.In("nothing was written to it")
}
