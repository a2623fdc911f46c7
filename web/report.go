package web

import (
	"bytes"
	"net/http"
)

// report is the self-contained report, as it is written to a file.
func (s *server) report(r *http.Request) (answer, error) {
	all, err := s.desk.Report(r.Context(), r.PathValue("name"))
	if err != nil {
		return answer{}, err
	}
	var b bytes.Buffer
	if err := s.options.Report(&b, *all); err != nil {
		return answer{}, err
	}
	return answer{kind: "text/html; charset=utf-8", policy: reportPolicy, body: b.Bytes()}, nil
}
