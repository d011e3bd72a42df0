import sys
from datetime import date
from pathlib import Path
from limitcheck.checking.policy_file import policy_for
from limitcheck.profile.load import load
from limitcheck.transfer import transfer
here=Path(__file__).parent
names=sys.argv[1:] or sorted(p.name for p in here.iterdir() if p.is_dir() and (p/"from.toml").exists())
full="-v" in names; names=[n for n in names if n!="-v"]
for n in names:
    try:
        a,b=here/n/"from.toml",here/n/"to.toml"
        t=transfer(load(str(a)),load(str(b)),(policy_for(a),policy_for(b)),date.today())
    except Exception as e:
        print(f"## {n}: {type(e).__name__} {e}"); continue
    print(f"## {n}: {t.decision}")
    for r in t.reasons: print("   ",r.ruling[:6],"|",r.text[:330])
    for c in t.conditions: print("    cond |",c[:110])
    if full:
        for r in t.rulings:
            if r.ruling in("allowed","information") or r.field.startswith(("expected","high","low","cond")): print("     -",r.field,"|",r.sending,"|",r.receiving,"|",r.ruling,"|",r.rule[:200],"|",r.source)
        for r in t.normal.reaches: print("     reach",r)
