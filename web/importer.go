package web

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/url"
	"path"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/importer"
	"fallwright.example/web/say"
)

func importPath(name string) string { return studyPath(name) + "/import" }

// importer is the page that asks for a file.
func (s *server) importer(r *http.Request) (answer, error) {
	v, _, err := s.importView(r)
	if err != nil {
		return answer{}, err
	}
	return page(r.Context(), importer.Page(v))
}

// importView is the page without a preview.
func (s *server) importView(r *http.Request) (importer.View, *opened, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Read a trace file", "traces")
	if err != nil {
		return importer.View{}, nil, err
	}
	v := importer.View{Frame: open.frame, Path: importPath(name), Rig: open.overview.Study.Plan.Rig.Name, Most: fmt.Sprintf("%d MB", mostUpload>>20)}
	v.Recipes, err = s.desk.Recipes(r.Context(), v.Rig)
	return v, open, err
}

// upload takes a file in, to be looked at.
func (s *server) upload(r *http.Request) (answer, error) {
	if _, err := s.desk.Overview(r.Context(), r.PathValue("name")); err != nil {
		return answer{}, err
	}
	file, recipe, err := readUpload(r, s.pending.largest)
	if err != nil {
		return answer{}, err
	}
	sum := sha256.Sum256(file.data)
	file.sha256 = hex.EncodeToString(sum[:])
	s.pending.put(file)
	query := url.Values{}
	if recipe != "" {
		query.Set("recipe", recipe)
	}
	return answer{to: address(importPath(r.PathValue("name"))+"/"+file.sha256, query.Encode())}, nil
}

// mostSideCar is how many bytes a side-car may have: it has four keys.
const mostSideCar = 64 << 10

// refuseUpload makes a Problem about what was sent.
func refuseUpload(format string, args ...any) *problem.Problem {
	return problem.New(problem.Invalid, "file", format, args...).In("nothing was taken in")
}

// readUpload reads the form with the file and perhaps its side-car, never more of
// them than may be.
func readUpload(r *http.Request, most int) (file pendingFile, recipe string, err error) {
	r.Body = http.MaxBytesReader(nil, r.Body, int64(most)+mostForm+mostSideCar)
	form, err := r.MultipartReader()
	if err != nil {
		return file, "", refuseUpload("what was sent is no form with a file")
	}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return file, "", tooLong(err)
		}
		limit := map[string]int{"file": most, "side-car": mostSideCar, "recipe": 1024}[part.FormName()]
		data, err := io.ReadAll(io.LimitReader(part, int64(limit)+1))
		if err != nil {
			return file, "", tooLong(err)
		}
		switch part.FormName() {
		case "file":
			if len(data) > most {
				return file, "", tooLong(&http.MaxBytesError{})
			}
			file.name, file.data = fileName(part.FileName()), data
		case "side-car":
			if len(data) > mostSideCar {
				return file, "", refuseUpload("the side-car is larger than %d kB", mostSideCar>>10).
					Hint("it is a short text, FILE.wav.toml beside FILE.wav, with the lines full_scale = 20.0 and unit = %q", "kN")
			}
			if len(data) > 0 {
				file.sideCarName, file.sideCar = fileName(part.FileName()), string(data)
			}
		case "recipe":
			recipe = string(data)
		}
	}
	if len(file.data) == 0 {
		return file, "", refuseUpload("no file was chosen, or it is empty")
	}
	return file, recipe, file.paired()
}

// paired refuses a side-car that is not called after its file, as the command
// line looks for it.
func (f pendingFile) paired() error {
	bare := strings.TrimSuffix(strings.TrimSuffix(f.name, ".gz"), ".zst")
	if f.sideCarName == "" || f.sideCarName == f.name+".toml" || f.sideCarName == bare+".toml" {
		return nil
	}
	return refuseUpload("%s is not the side-car of %s: that is called %s.toml", f.sideCarName, f.name, bare).
		Hint("choose the side-car of this file, or give full scale and unit on the next page")
}

func tooLong(err error) error {
	var most *http.MaxBytesError
	if errors.As(err, &most) {
		return refuseUpload("the file is larger than the %d MB that a page takes", mostUpload>>20).
			Hint("record it from the command line, where files of up to 512 MB are taken")
	}
	return refuseUpload("the file did not arrive whole: %v", err)
}

// fileName is the last part of a name, in one line.
func fileName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	name = strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f {
			return -1
		}
		return c
	}, name)
	if name == "" || name == "." || name == "/" {
		return "trace"
	}
	return name
}

// preview shows how a waiting file is read, with the corrections that the
// address asks.
func (s *server) preview(r *http.Request) (answer, error) {
	v, open, err := s.importView(r)
	if err != nil {
		return answer{}, err
	}
	file, err := s.pending.get(r.PathValue("sha"))
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	query := r.URL.Query()
	ask, err := s.askedOf(r, open, query)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	p, err := s.desk.Preview(r.Context(), r.PathValue("name"), study.Upload{Name: file.name, Data: file.data, Ask: file.beside(ask), Setting: settingOf(query)})
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	v.Frame.Title = file.name
	v.Preview, v.Here, v.Recipe = p, v.Path+"/"+file.sha256, query.Get("recipe")
	v.Seen, v.Changed = corrected(query), query.Has("changed")
	v.SideCar = file.sideCarName
	v.Problems = quoted(problem.All(p.Refused), p.Layout.Packed, file)
	v.Fields = fields(p, query)
	v.Parts = previewParts(v.Here, p, query)
	v.Drop = dropForm(open.overview.Study, p.Setting, s.desk.Clock(), query)
	if p.Curves != nil {
		v.Picture = previewPicture(p, open.overview.Study.Plan.Invented)
	}
	return page(r.Context(), importer.Page(v))
}

func previewPicture(p *study.Preview, invented bool) frame.Picture {
	m := figure.Moving{Name: p.File.Name, Condition: -1, Force: p.Curves.Force, Speed: p.Curves.Speed, Stretch: p.Curves.Stretch}
	if p.Curves.Reading != nil {
		m.Contacts = p.Curves.Reading.Contacts
	}
	return drawn(wideFigure, 260, invented, func(c figure.Canvas) *figure.Scene { return figure.Motion(m, c) })
}

func previewParts(here string, p *study.Preview, query url.Values) []importer.Part {
	var out []importer.Part
	for i, x := range p.Parts {
		rec := x.Recording
		row := importer.Part{Name: partName(p, i), Chosen: i == p.Chosen, Reading: x.Reading, Recorded: strings.Join(x.Recorded, ", ")}
		if n := len(rec.Time); n > 1 {
			row.Length = say.Seconds(rec.Time[n-1] - rec.Time[0])
		}
		if x.Refused != nil {
			row.Why = problemWords(x.Refused)
		}
		to := maps.Clone(query)
		to.Del("changed")
		to.Set("part", row.Name)
		row.Href = here + "?" + to.Encode()
		out = append(out, row)
	}
	return out
}

// partName is the name of a drop of a file, or its number.
func partName(p *study.Preview, i int) string {
	return cmp.Or(p.Parts[i].Recording.Part, strconv.Itoa(i+1))
}

// localTime is how a field of date and time is written.
const localTime = "2006-01-02T15:04:05"

// dropForm is the form to record, as it was filled before the file was read
// again.
func dropForm(st *campaign.Study, setting string, now time.Time, q url.Values) importer.Drop {
	here := st.Created.At.Location()
	d := importer.Drop{
		Specimens: st.Plan.Specimens, Settings: st.Plan.Settings, Setting: setting, Next: map[string]int{},
		By: st.Plan.By, At: now.In(here).Format(localTime), Zone: st.Created.At.Format("MST"), Frozen: st.Frozen != nil, Loaded: true,
	}
	d.KeptBy = d.By
	if q.Has("kind") {
		d.Kind, d.Specimen, d.Fall, d.Note, d.Void = q.Get("kind"), q.Get("specimen"), q.Get("fall"), q.Get("note"), q.Get("void")
		d.By, d.At, d.Loaded = q.Get("by"), q.Get("at"), q.Get("loaded") != ""
	}
	if q.Has("recipe-by") {
		d.KeptBy, d.RecipeName = q.Get("recipe-by"), q.Get("recipe-name")
	}
	for _, sp := range st.Plan.Specimens {
		d.Next[sp.Label] = st.NextFall(sp.Label)
	}
	return d
}
