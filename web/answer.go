package web

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"strconv"
	"strings"
	"sync"

	"github.com/a-h/templ"
)

// answer is a whole body, made before the first byte is sent, so that a fault
// on the way still gets a page of its own.
type answer struct {
	kind   string // Content-Type
	policy string // in the place of pagePolicy; empty to keep it
	body   []byte
	to     string // address that shows what was done, instead of a body
	status int    // 0 for 200
}

// asker answers a request or refuses it.
type asker func(r *http.Request) (answer, error)

// page renders a template.
func page(ctx context.Context, c templ.Component) (answer, error) {
	var b bytes.Buffer
	if err := c.Render(ctx, &b); err != nil {
		return answer{}, err
	}
	return answer{kind: "text/html; charset=utf-8", body: b.Bytes()}, nil
}

// answer serves pages: a refusal becomes a page too.
func (s *server) answer(ask asker) http.Handler { return s.serve(ask, s.refusalPage) }

// data serves JSON: a refusal becomes JSON too.
func (s *server) data(ask asker) http.Handler { return s.serve(ask, s.refusalData) }

func (s *server) serve(ask asker, show func(*http.Request, refused) answer) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a, err := s.attempt(ask, r)
		if err == nil && a.to != "" {
			http.Redirect(w, r, a.to, http.StatusSeeOther)
			return
		}
		if err == nil {
			send(w, r, cmp.Or(a.status, http.StatusOK), a)
			return
		}
		f := s.refuse(r, err)
		send(w, r, f.status, show(r, f))
	})
}

// send writes an answer with a validator, compressed where the browser takes
// it. The validator is weak because the two forms share it.
func send(w http.ResponseWriter, r *http.Request, status int, a answer) {
	h := w.Header()
	if a.policy != "" {
		h.Set("Content-Security-Policy", a.policy)
	}
	h.Set("Content-Type", a.kind)
	h.Set("Cache-Control", "private, no-cache")
	h.Set("Vary", "Accept-Encoding")
	if status == http.StatusOK {
		sum := sha256.Sum256(a.body)
		tag := `W/"` + base64.RawURLEncoding.EncodeToString(sum[:12]) + `"`
		h.Set("ETag", tag)
		if matches(r.Header.Get("If-None-Match"), tag) {
			w.WriteHeader(http.StatusNotModified)
			return
		}
	}
	body := a.body
	if len(body) > 1024 && takesGzip(r) {
		body = squeeze(body)
		h.Set("Content-Encoding", "gzip")
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		w.Write(body) // the browser has gone; there is nobody to tell
	}
}

// matches compares an If-None-Match header with a tag, weakly (RFC 9110 8.8.3.2).
func matches(header, tag string) bool {
	for candidate := range strings.SplitSeq(header, ",") {
		candidate = strings.TrimSpace(candidate)
		if candidate == "*" || strings.TrimPrefix(candidate, "W/") == strings.TrimPrefix(tag, "W/") {
			return candidate != ""
		}
	}
	return false
}

// takesGzip reads Accept-Encoding: gzip named and not refused by a zero weight.
func takesGzip(r *http.Request) bool {
	for coding := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(coding, ";")
		if strings.TrimSpace(name) != "gzip" {
			continue
		}
		_, q, given := strings.Cut(weight, "=")
		if value, err := strconv.ParseFloat(strings.TrimSpace(q), 64); given && err == nil && value == 0 {
			return false
		}
		return true
	}
	return false
}

var squeezers = sync.Pool{New: func() any {
	w, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed) // the level is known to be good
	return w
}}

func squeeze(body []byte) []byte {
	var b bytes.Buffer
	w := squeezers.Get().(*gzip.Writer)
	defer squeezers.Put(w)
	w.Reset(&b)
	w.Write(body) // a bytes.Buffer takes everything
	w.Close()     // likewise
	return b.Bytes()
}
