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
	for _, ip := range IPs(at) {
		if !ip.IsLoopback() {
			list = append(list, address(ip.String()))
		}
	}
	return list
}

// IPs returns the network addresses of a server: that at which it listens, or,
// when it listens everywhere, all of this machine.
func IPs(at net.Addr) []net.IP {
	tcp, ok := at.(*net.TCPAddr)
	if !ok {
		return nil
	}
	if !tcp.IP.IsUnspecified() {
		return []net.IP{tcp.IP}
	}
	list := []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}
	all, err := net.InterfaceAddrs()
	if err != nil { // the first ones are enough to begin with
		return list
	}
	for _, a := range all {
		if ip, ok := a.(*net.IPNet); ok && ip.IP.IsGlobalUnicast() {
			list = append(list, ip.IP)
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
