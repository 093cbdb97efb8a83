package web

import (
	"fmt"
	"log/slog"
	"net/http"
	"time"

	"sallyport/internal/together"
)

// logged notes every request, and answers for a fault of the program.
func (s *Server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		n := &noting{ResponseWriter: w}
		defer func() {
			half := false
			if p := recover(); p != nil {
				f := together.FaultOf(p)
				s.Log.Error("a fault of the program", "method", r.Method, "path", r.URL.Path, "fault", fmt.Sprint(f.Value), "stack", f.Stack)
				if half = n.status != 0; !half {
					writeTrouble(n, troubleOf(fmt.Errorf("%v", p)))
				}
			}
			level := slog.LevelInfo
			if n.status >= http.StatusInternalServerError {
				level = slog.LevelWarn
			}
			s.Log.Log(r.Context(), level, "request", "method", r.Method, "path", r.URL.Path, "status", n.status, "bytes", n.bytes, "ms", time.Since(began).Milliseconds(), "from", r.RemoteAddr)
			if half {
				panic(http.ErrAbortHandler) // it must not look like a whole one
			}
		}()
		next.ServeHTTP(n, r)
	})
}

// noting notes what is answered.
type noting struct {
	http.ResponseWriter
	status int
	bytes  int64
}

func (n *noting) WriteHeader(status int) {
	if n.status == 0 {
		n.status = status
	}
	n.ResponseWriter.WriteHeader(status)
}

func (n *noting) Write(p []byte) (int, error) {
	if n.status == 0 {
		n.status = http.StatusOK
	}
	w, err := n.ResponseWriter.Write(p)
	n.bytes += int64(w)
	return w, err
}

// Unwrap lets http.ResponseController reach what is below.
func (n *noting) Unwrap() http.ResponseWriter { return n.ResponseWriter }
