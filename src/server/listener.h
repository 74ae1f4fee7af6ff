// The listening socket and the connections that come in by it: how many there may be, and how they
// are hung up on.
#pragma once

#include <atomic>
#include <functional>
#include <map>
#include <mutex>
#include <set>
#include <string>

#include "server/connections.h"
#include "server/wire.h"

namespace steerbench::server {

class Listener {
 public:
  // Called for each connection, on a thread of its own, with who is at its other end and the
  // address by which it came in; it is closed afterwards. Once `Ending()` it is to return soon.
  using Converse = std::function<void(Wire&, const End& peer, const End& local)>;

  explicit Listener(Converse converse) : converse_(std::move(converse)) {}
  ~Listener();
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;

  // As those of HttpServer.
  [[nodiscard]] int Bind(int port, bool lan);
  void Run();  // ends by itself when the system does not let it listen on
  void Stop();
  [[nodiscard]] bool Ending() const { return ending_; }

  // Connections of one other machine: browsers keep six to a server, a stranger may not take all.
  // And of all of them, so that there are some left for this machine.
  static constexpr int kMostOfPeer = 32;
  static constexpr int kMostOfOthers = 512;

 private:
  void Serve(int socket);
  [[nodiscard]] bool Admit(int socket, const std::string& peer);
  void Leave(int socket, const std::string& peer);

  Converse converse_;
  int listening_ = -1;
  Connections connections_;
  std::mutex mutex_;  // over the three below
  std::set<int> open_;
  std::map<std::string, int> of_peer_;
  int of_others_ = 0;
  std::atomic<bool> ending_{false};
};

}  // namespace steerbench::server
