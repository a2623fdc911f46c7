package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"path"
	"strconv"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/web/page/frame"
)

// The files under asset/dist are made by tools/webbuild from web/frontend.
//
//go:embed asset/dist
var dist embed.FS

// assets are the files that pages load, whole in memory and squeezed once. A
// name carries a hash of its file, so a browser may keep it for good.
type assets struct {
	files     map[string]assetFile
	addresses frame.Assets
}

type assetFile struct {
	kind     string
	plain    []byte
	squeezed []byte // nil where it would not be smaller
	tag      string
}

func mustAssets() *assets {
	a, err := loadAssets()
	if err != nil {
		panic(err)
	}
	return a
}

// loadAssets reads the manifest and every file it names.
func loadAssets() (*assets, error) {
	text, err := dist.ReadFile("asset/dist/manifest.json")
	if err != nil {
		return nil, err
	}
	var m struct {
		Style, Theme, App, Plot, Icon, Licences string
		Fonts                                   []string
	}
	if err := json.Unmarshal(text, &m); err != nil {
		return nil, fmt.Errorf("asset/dist/manifest.json: %w", err)
	}
	a := &assets{files: map[string]assetFile{}}
	for _, name := range append([]string{m.Style, m.Theme, m.App, m.Plot, m.Icon, m.Licences}, m.Fonts...) {
		data, err := dist.ReadFile("asset/dist/" + name)
		if err != nil {
			return nil, err
		}
		a.add(name, data)
	}
	sum := sha256.Sum256([]byte(figure.Style))
	drawn := "figure-" + strings.ToUpper(hex.EncodeToString(sum[:4])) + ".css"
	a.add(drawn, []byte(figure.Style))
	at := func(name string) string { return "/asset/" + name }
	a.addresses = frame.Assets{
		Style: at(m.Style), Figure: at(drawn), Theme: at(m.Theme), App: at(m.App),
		Plot: at(m.Plot), Icon: at(m.Icon), Licences: at(m.Licences),
	}
	for _, f := range m.Fonts {
		a.addresses.Fonts = append(a.addresses.Fonts, at(f))
	}
	return a, nil
}

// kinds are the content types, not left to the machine's own table.
var kinds = map[string]string{
	".css":   "text/css; charset=utf-8",
	".js":    "text/javascript; charset=utf-8",
	".svg":   "image/svg+xml",
	".txt":   "text/plain; charset=utf-8",
	".woff2": "font/woff2",
}

func (a *assets) add(name string, data []byte) {
	f := assetFile{kind: kinds[path.Ext(name)], plain: data}
	if s := squeeze(data); len(s) < len(data)*9/10 {
		f.squeezed = s
	}
	sum := sha256.Sum256(data)
	f.tag = `W/"` + hex.EncodeToString(sum[:8]) + `"`
	a.files[name] = f
}

// asset serves one file of asset/dist.
func (s *server) asset(w http.ResponseWriter, r *http.Request) {
	f, ok := s.assets.files[r.PathValue("file")]
	if !ok {
		s.answer(func(r *http.Request) (answer, error) {
			return answer{}, problem.New(problem.NotFound, r.URL.Path, "there is no such file")
		}).ServeHTTP(w, r)
		return
	}
	h := w.Header()
	h.Set("Content-Type", f.kind)
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	h.Set("Vary", "Accept-Encoding")
	h.Set("ETag", f.tag)
	if matches(r.Header.Get("If-None-Match"), f.tag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	body := f.plain
	if f.squeezed != nil && takesGzip(r) {
		body = f.squeezed
		h.Set("Content-Encoding", "gzip")
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if r.Method != http.MethodHead {
		w.Write(body) // the browser has gone
	}
}
