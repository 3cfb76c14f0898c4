package api

import "github.com/gin-gonic/gin"

// benchCard answers with the card of a plain solve request; like solving, it needs no
// sign-in. A job that must not be cut is refused with every reason.
func (s *server) benchCard(c *gin.Context) error {
	request, err := solveRequest(c)
	if err != nil {
		return err
	}
	return s.pages.SendBenchCard(c, request, c.Request.URL.Query())
}
