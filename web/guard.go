package web

import "net/http"

// pagePolicy lets a page load what this server serves and nothing else; no
// script or style inside the page itself.
const pagePolicy = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; " +
	"img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// reportPolicy is for the self-contained report: its own styles, fonts and
// pictures are inside it, and it has no script.
const reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; " +
	"form-action 'none'; base-uri 'none'; frame-ancestors 'none'"

// guard sets the headers that every answer carries. An answer may replace the
// policy before it is written.
func guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", pagePolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		next.ServeHTTP(w, r)
	})
}
