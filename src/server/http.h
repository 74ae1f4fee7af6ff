// The server on its sockets: thin, all decisions are made by gate.h and the handlers.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "server/routes.h"

namespace steerbench::server {

class HttpServer {
 public:
  explicit HttpServer(Workbench& bench);
  ~HttpServer();

  // Binds to a port, any free one for 0, on loopback or with `lan` on every address. Gives the
  // port, or 0 when it cannot be had.
  [[nodiscard]] int Bind(int port, bool lan);
  // Answers until Stop(). Call Bind first.
  void Run();
  // From another thread: requests in work are answered, then Run() returns.
  void Stop();

 private:
  class Impl;
  std::unique_ptr<Impl> impl_;
};

// The addresses of this machine in local networks, "192.0.2.7"; none when it is in no network.
[[nodiscard]] std::vector<std::string> LanAddresses();

}  // namespace steerbench::server
