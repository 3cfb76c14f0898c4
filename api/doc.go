// Package api serves halfnut over HTTP: the JSON API under /v1 and, through
// package web, the pages. Both call the same practice service; neither calls the
// other.
package api
