// How long a page waits for an answer while many drag the hand wheel: clients that each ask at 60
// frames a second, with their event streams open. Needs a running server:
//   steerbench serve my-car.toml --no-open --port 8080 &
//   drag_bench 8080 SETUP [CLIENTS 64] [SECONDS 30]
#include <fmt/format.h>
#include <httplib.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::duration;

constexpr auto kFrame = std::chrono::microseconds(16'667);

struct Figures {
  std::mutex mutex;
  std::vector<double> took;  // [s]
  std::atomic<int> errors{0};
};

// Keeps an event stream open until told to end.
void Listen(int port, const std::atomic<bool>& end) {
  httplib::Client client("127.0.0.1", port);
  client.set_read_timeout(60);
  client.Get("/api/events", [&](const char*, std::size_t) { return !end; });
}

void Drag(int port, const std::string& setup, int number, Clock::time_point until, Figures& out) {
  httplib::Client client("127.0.0.1", port);
  client.set_keep_alive(true);
  client.set_tcp_nodelay(true);
  std::vector<double> took;
  auto next = Clock::now() + kFrame * (number % 16) / 16;
  for (int i = 0; Clock::now() < until; ++i) {
    std::this_thread::sleep_until(next);
    next = std::max(next + kFrame, Clock::now());  // a late answer is not made up for
    const double travel = 0.07 * std::sin((i + 7 * number) / 20.0);
    const auto began = Clock::now();
    const auto answer = client.Get(fmt::format("/api/turn?setup={}&travel={}", setup, travel));
    took.push_back(duration<double>(Clock::now() - began).count());
    if (!answer || answer->status != 200) ++out.errors;
  }
  const std::scoped_lock lock(out.mutex);
  out.took.insert(out.took.end(), took.begin(), took.end());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) {
    fmt::print(stderr, "usage: drag_bench PORT SETUP [CLIENTS] [SECONDS]\n");
    return 2;
  }
  const int port = std::atoi(argv[1]);
  const int clients = argc > 3 ? std::atoi(argv[3]) : 64;
  const int seconds = argc > 4 ? std::atoi(argv[4]) : 30;
  Figures figures;
  std::atomic<bool> end{false};
  std::vector<std::thread> streams, drags;
  for (int i = 0; i < clients; ++i) streams.emplace_back([&] { Listen(port, end); });
  const auto until = Clock::now() + std::chrono::seconds(seconds);
  for (int i = 0; i < clients; ++i) {
    drags.emplace_back([&, i] { Drag(port, argv[2], i, until, figures); });
  }
  for (std::thread& t : drags) t.join();
  end = true;
  auto& took = figures.took;
  std::ranges::sort(took);
  const auto share = [&](double s) {
    return 1e3 * took[static_cast<std::size_t>(s * static_cast<double>(took.size() - 1))];
  };
  fmt::print(
      "{} clients, {} s: {} answers ({:.0f} /s), {} errors, p50 {:.2f} ms, p99 {:.2f} ms, "
      "worst {:.1f} ms\n",
      clients, seconds, took.size(), static_cast<double>(took.size()) / seconds,
      figures.errors.load(), share(0.5), share(0.99), share(1.0));
  std::fflush(stdout);
  std::_Exit(figures.errors == 0 ? 0 : 1);  // the streams end with the next ping only
}
