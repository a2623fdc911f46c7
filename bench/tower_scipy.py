"""One fall to rest by SciPy, the same fall, method and events as
BenchmarkToRest, at the tolerances of a step that it has over the first contact and
after it: prints the best microseconds of a processor of RUNS, peak and rest."""
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "refdata" / "fall"))
from tower import Law, simulate  # noqa: E402

LAWS = {
    "stiffening": Law("stiffening", equilibrium=5000, growth=4, branch=6000, relaxation=0.12),
    "sliding": Law("sliding", equilibrium=5000, growth=4, branch=3000, relaxation=0.1, contact=30000, ease=20, friction=0.25),
}
for name, law in LAWS.items():
    for tolerance in (5e-7, 1e-4):
        best = 1e9
        for _ in range(int(sys.argv[1])):
            began = time.process_time()
            run = simulate(law, 80, 1.42, 2.6, 4, until=20, method="RK45", rtol=tolerance, to_rest=True)
            best = min(best, time.process_time() - began)
        print(name, tolerance, f"{best * 1e6:.0f}", f"{run['contacts'][0][2]:.6f}", f"{run['rest_at']:.4f}")
