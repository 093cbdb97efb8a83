package web

import (
	"net"
	"strconv"
)

// Addresses returns the addresses at which people reach a server: first the
// one on this machine, then those of the local network when it listens there.
func Addresses(scheme string, at net.Addr) []string {
	tcp, ok := at.(*net.TCPAddr)
	if !ok {
		return []string{scheme + "://" + at.String()}
	}
	address := func(host string) string {
		return scheme + "://" + net.JoinHostPort(host, strconv.Itoa(tcp.Port))
	}
	if !tcp.IP.IsUnspecified() {
		return []string{address(tcp.IP.String())}
	}
	list := []string{address("localhost")}
	all, err := net.InterfaceAddrs()
	if err != nil { // the first one is enough to begin with
		return list
	}
	for _, a := range all {
		if ip, ok := a.(*net.IPNet); ok && ip.IP.IsGlobalUnicast() {
			list = append(list, address(ip.IP.String()))
		}
	}
	return list
}

// OnlyHere reports whether only this machine can reach a server that listens
// there.
func OnlyHere(at net.Addr) bool {
	tcp, ok := at.(*net.TCPAddr)
	return ok && tcp.IP.IsLoopback()
}
