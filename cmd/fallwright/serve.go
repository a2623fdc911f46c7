package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/spf13/cobra"

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
		Args: cobra.NoArgs,
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

// serve runs the web app until ctx ends.
func serve(ctx context.Context, cmd *cobra.Command, desk *study.Desk, addr string) error {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w", addr, err)
	}
	server := &http.Server{
		Handler:           web.New(desk, web.Options{Report: html.Write, Program: desk.Program, Log: slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil))}),
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
