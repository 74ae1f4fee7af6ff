// The HTTP library's server, with its connections in our hands: how many there may be, how long
// each may take, and how they are hung up on.
#pragma once

#include <httplib.h>

#include <atomic>
#include <map>
#include <mutex>
#include <set>
#include <string>

namespace steerbench::server {

class Listener : public httplib::Server {
 public:
  Listener();

  // Ends the reading side of every connection, so that idle ones do not wait for a next request;
  // answers being written still go out.
  void HangUp();

  // Connections of one other machine: browsers keep six to a server, a stranger may not take all.
  static constexpr int kMostOfPeer = 32;

 private:
  bool process_and_close_socket(socket_t socket) override;
  void Converse(socket_t socket);
  [[nodiscard]] bool Admit(socket_t socket, const std::string& peer);
  void Leave(socket_t socket, const std::string& peer);

  std::mutex mutex_;  // over the two below
  std::set<socket_t> open_;
  std::map<std::string, int> of_peer_;
  std::atomic<bool> ending_{false};
};

}  // namespace steerbench::server
