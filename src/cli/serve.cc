// The workbench: a server on one document, until it is told to end.
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sys/random.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <thread>

#include "cli/load.h"
#include "server/http.h"
#include "server/qr.h"

namespace steerbench::cli {
namespace {

std::string NowInWords() {
  const auto now =
      std::chrono::time_point_cast<std::chrono::seconds>(std::chrono::system_clock::now());
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now));
}

std::uint64_t Unforeseeable() {
  std::uint64_t bits = 0;
  ssize_t got = -1;
  while (got != static_cast<ssize_t>(sizeof bits)) {
    got = getrandom(&bits, sizeof bits, 0);
    if (got < 0 && errno != EINTR)
      throw std::system_error(errno, std::generic_category(), "random");
  }
  return bits;
}

// Signals that end the program are taken by one thread that waits for them, so they are blocked
// before any other starts; a peer that hangs up is no reason to end.
sigset_t HoldSignals() {
  sigset_t ends;
  sigemptyset(&ends);
  for (const int s : {SIGINT, SIGTERM, SIGHUP}) sigaddset(&ends, s);
  pthread_sigmask(SIG_BLOCK, &ends, nullptr);
  std::signal(SIGPIPE, SIG_IGN);
  return ends;
}

// Opens the page where there is a desktop to open it on; the address is printed in any case.
void OpenBrowser(const std::string& address) {
  if (std::getenv("DISPLAY") == nullptr && std::getenv("WAYLAND_DISPLAY") == nullptr) return;
  std::string program = "xdg-open", argument = address;
  char* const argv[] = {program.data(), argument.data(), nullptr};
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  sigset_t none;
  sigemptyset(&none);
  posix_spawnattr_setsigmask(&attributes, &none);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK);
  pid_t child = 0;
  posix_spawnp(&child, program.c_str(), nullptr, &attributes, argv, environ);
  posix_spawnattr_destroy(&attributes);
}

std::string Greeting(const ServeOptions& o, int port, const server::Workbench& bench) {
  std::string text =
      fmt::format("The workbench on {}:\n\n  http://127.0.0.1:{}/\n\n", o.file, port);
  if (!bench.lan.empty()) {
    text += fmt::format("In the local network, with the code {}:\n\n", bench.pairing.Code());
    for (const std::string& address : bench.lan) text += fmt::format("  {}/\n", address);
    text +=
        "\nEverybody there who has the code can read and change the document, and nothing is\n"
        "encrypted: use a network you trust.\n\n";
    if (isatty(STDOUT_FILENO) == 1) {
      text += server::QrLines(bench.PairingAddress(bench.lan.front())) + "\n";
    }
  }
  return text + "Ends with Ctrl-C.\n";
}

int Serve(const ServeOptions& o) {
  const sigset_t ends = HoldSignals();
  server::Events events;
  server::Session session(o.file, NowInWords, [&events](const server::NewRevision& r) {
    events.Tell({"revision",
                 {{"revision", r.revision}, {"client", r.client}, {"changed", r.changed}},
                 std::to_string(r.revision)});
  });
  server::Jobs jobs([&events](std::uint64_t id, const server::JobReport& report) {
    events.Tell(
        {"job",
         {{"id", id}, {"state", server::WordFor(report.state)}, {"progress", report.progress}}});
  });
  server::Pairing pairing(o.lan, std::chrono::steady_clock::now, Unforeseeable);
  server::Searches searches;
  server::Hands hands(static_cast<int>(std::thread::hardware_concurrency()) - 1);
  server::Workbench bench{session, events, jobs, searches, pairing, hands, STEERBENCH_VERSION};
  server::HttpServer http(bench);
  const int port = http.Bind(o.port, o.lan);
  if (port == 0) {
    Complain(
        fmt::format("port {} cannot be had: is something else on it? Leave --port out to take "
                    "any free one",
                    o.port));
    return kUnusable;
  }
  if (o.lan) {
    for (const std::string& address : server::LanAddresses()) {
      bench.lan.push_back(fmt::format("http://{}:{}", address, port));
    }
    if (bench.lan.empty()) Complain("this machine has no address in a local network");
  }
  Print(Greeting(o, port, bench));
  std::atomic<bool> stopping{false}, fell{false};
  std::thread running([&] {
    http.Run();
    fell = !stopping;
    kill(getpid(), SIGTERM);  // whoever waits below is to know
  });
  if (o.open) OpenBrowser(fmt::format("http://127.0.0.1:{}/", port));
  int signal = 0;
  sigwait(&ends, &signal);
  stopping = true;
  http.Stop();
  running.join();
  if (fell) Complain("the server ended by itself: nothing more can be taken from the network");
  return fell ? kUnusable : kAllWell;
}

}  // namespace

int RunServe(const ServeOptions& options) {
  try {
    return Serve(options);
  } catch (const HistoryFailed& e) {
    Complain(e.what());
    return kUnusable;
  }
}

}  // namespace steerbench::cli
