package main

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/problem"
	"fallwright.example/report/html"
	"fallwright.example/study"
	"fallwright.example/web"
)

func serveCommand() *cobra.Command {
	var b bookFlags
	var addr string
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Show a book in the browser",
		Long: `Serve shows the studies of a book as web pages, on this machine only unless
--addr says otherwise. There is no log-in: whoever reaches the address sees the
book.`,
		Args: noArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				return serve(ctx, cmd, desk, addr)
			})
		}),
	}
	b.register(cmd, false, false)
	cmd.Flags().StringVar(&addr, "addr", "127.0.0.1:0", "`ADDRESS` to listen on; port 0 takes a free one")
	return cmd
}

// cannotListen says why an address cannot be had.
func cannotListen(addr string, err error) error {
	p := problem.New(problem.Invalid, "--addr", "%q is no address that can be listened on", addr).
		Hint("write a host and a port, such as 127.0.0.1:8080; port 0 takes a free one")
	var system syscall.Errno
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		p = problem.New(problem.Conflict, "--addr", "another program listens on %s already", addr).
			Hint("leave --addr out to take a free port, or stop the other program")
	case errors.Is(err, fs.ErrPermission):
		p = problem.New(problem.Conflict, "--addr", "this user may not listen on %s", addr).
			Hint("ports below 1024 are for the administrator: name a higher one, or leave --addr out to take a free one")
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		p = problem.New(problem.NotFound, "--addr", "this machine has no address %s", addr).
			Hint("127.0.0.1:0 is this machine alone, 0.0.0.0:0 every network that it is on")
	case errors.As(err, &system):
		p.What += ": " + system.Error()
	}
	return p.In("nothing is served")
}

// serve runs the web app until ctx ends.
func serve(ctx context.Context, cmd *cobra.Command, desk *study.Desk, addr string) error {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return cannotListen(addr, err)
	}
	server := &http.Server{
		Handler:           web.New(desk, web.Options{Report: html.Write, Calendar: writeCalendar, Fall: fallOfText, Program: desk.Program, Log: slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil))}),
		ReadHeaderTimeout: 10 * time.Second,
		BaseContext:       func(net.Listener) context.Context { return ctx },
	}
	say := terminal{cmd.OutOrStdout()}
	say.line("http://%s", listener.Addr())
	say.line("stop with Ctrl-C")
	stopped := make(chan error, 1)
	go func() {
		<-ctx.Done()
		grace, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		defer cancel()
		stopped <- server.Shutdown(grace)
	}()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return <-stopped
}
