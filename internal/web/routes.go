package web

import (
	"net/http"
	"slices"

	"sallyport/internal/desk"

	"github.com/klauspost/compress/gzhttp"
)

// Who may use a route.
var (
	planners = []Role{Planner}
	marshals = []Role{Planner, Marshal}
	helpers  = []Role{Planner, Marshal, Crew}
	everyone = []Role{Planner, Marshal, Crew, Viewer}
)

// route is one thing that can be asked for.
type route struct {
	method, path string
	roles        []Role // who may; nil only with open
	open         bool   // also for people who are not signed in
	says         string // one line of the description
	query        []string
	match        bool // needs If-Match
	in, out      any  // values of the types sent and answered; a string names a type of file
	made         int  // status when it is not 200, or 204 without an answer
	stream       bool // writes its answer bit by bit
	do           func(s *Server, c *call) (answer, error)
}

// routes lists every route.
func routes() []route {
	const show = "/api/shows/{id}"
	xlsx := "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
	list := []route{
		{method: "GET", path: "/health", open: true, says: "whether the server can do its work", out: Health{}, do: (*Server).health},
		{method: "GET", path: "/openapi.json", roles: everyone, says: "this description", out: "application/json", do: (*Server).openAPI},

		{method: "GET", path: "/api/shows", roles: everyone, says: "all shows", out: []ShowLine{}, do: (*Server).shows},
		{method: "POST", path: "/api/shows", roles: planners, says: "begins a show", made: 201, in: NewShow{}, out: ShowLine{}, do: (*Server).newShow},
		{method: "POST", path: "/api/shows/import", roles: planners, says: "reads an exported show as a new one", made: 201, in: "application/zip", out: ShowLine{}, do: (*Server).importShow},
		{method: "PATCH", path: show, roles: planners, says: "renames a show, archives it or takes it out of the archive", in: ShowChange{}, out: ShowLine{}, do: (*Server).changeShow},
		{method: "GET", path: show + "/export.zip", roles: planners, says: "the show with all that is kept of it", out: "application/zip", do: (*Server).exportZip},
		{method: "GET", path: show + "/show.xlsx", roles: everyone, query: []string{"issue"}, says: "the workbook", out: xlsx, do: (*Server).showXLSX},
		{method: "GET", path: show + "/plan.json", roles: planners, query: []string{"issue"}, says: "the plan", out: "application/json", do: (*Server).planJSON},
		{method: "GET", path: show + "/picture.svg", roles: everyone, query: []string{"at", "dark", "issue"}, says: "the park at a moment", out: "image/svg+xml", do: (*Server).picture},

		{method: "GET", path: show + "/issues", roles: everyone, says: "the issues, newest first", out: []IssueLine{}, do: (*Server).issues},
		{method: "POST", path: show + "/issues", roles: planners, match: true, says: "publishes the draft", made: 201, in: NewIssue{}, out: IssueLine{}, do: (*Server).publish},

		{method: "POST", path: show + "/jobs", roles: marshals, says: "starts long work; a marshal may start a replan", made: 202, in: JobAsk{}, out: Job{}, do: (*Server).newJob},
		{method: "GET", path: show + "/jobs", roles: marshals, says: "the jobs of the show, newest first", out: []Job{}, do: (*Server).jobsOf},
		{method: "GET", path: "/api/jobs/{job}", roles: marshals, says: "how far a job is", out: Job{}, do: (*Server).job},
		{method: "DELETE", path: "/api/jobs/{job}", roles: marshals, says: "stops a job, which keeps what it has so far", out: Job{}, do: (*Server).stopJob},
		{method: "GET", path: "/api/jobs/{job}/result", roles: marshals, says: "what a job has found, by its kind", out: "application/json", do: (*Server).jobResult},
		{method: "POST", path: "/api/jobs/{job}/choose", roles: planners, match: true, says: "takes a set of changes, a variant or a continuation into the draft", in: Choice{}, out: desk.Table{}, do: (*Server).choose},

		{method: "GET", path: show + "/log", roles: helpers, query: []string{"after"}, says: "what has happened", out: []LogLine{}, do: (*Server).log},
		{method: "POST", path: show + "/log", roles: marshals, says: "adds to what has happened", made: 201, in: Said{}, out: []LogLine{}, do: (*Server).say},
		{method: "GET", path: show + "/events", roles: everyone, stream: true, says: "server-sent events: draft, issue, log, job, people, reload; goes on from Last-Event-ID", out: "text/event-stream", do: (*Server).events},
	}
	return slices.Concat(list, tableRoutes(), editRoutes(), historyRoutes(), asideRoutes(), compareRoutes(), previewRoutes(), whoRoutes())
}

// serveMux returns what answers all requests.
func (s *Server) serveMux() (http.Handler, error) {
	gzip, err := gzhttp.NewWrapper(gzhttp.MinSize(1024))
	if err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	for _, r := range routes() {
		var h http.Handler = s.endpoint(r)
		if !r.stream {
			h = gzip(h)
		}
		if r.open {
			h = s.Who.Open(h)
		} else {
			h = s.Who.Guard(r.roles, h)
		}
		mux.Handle(r.method+" "+r.path, h)
	}
	mux.Handle("/", gzip(s.screens()))
	return s.logged(s.Who.Protect(mux)), nil
}

// endpoint returns the handler of a route.
func (s *Server) endpoint(r route) http.HandlerFunc {
	return func(w http.ResponseWriter, req *http.Request) {
		c := &call{Request: req, w: w, who: PersonOf(req.Context())}
		a, err := r.do(s, c)
		if err == nil {
			err = c.write(a)
		}
		if err != nil && err != errStreamed {
			s.fail(w, req, err)
		}
	}
}
