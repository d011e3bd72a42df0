"""Writes the pairs of profiles of the attack: each case a folder with from.toml and to.toml."""
import copy, sys, tomllib
from decimal import Decimal
from pathlib import Path
from limitcheck.profile.write import dump_profile

D = Decimal
def parts(p, cell, col, tube=("500 mm","0.17 mm")):
    return [
        {"part":"pump","rating":p},
        {"part":"tubing","label":"pump to injector","length":tube[0],"bore":tube[1],"rating":p},
        {"part":"injector","rating":p},
        {"part":"fitting","label":"column inlet","rating":p},
        dict({"part":"column"}, **col),
        {"part":"detector cell","rating":cell},
    ]
C18 = {"chemistry":"C18","length":"150 mm","bore":"4.6 mm","particle_size":"5 um","particle":"fully porous","inlet_frit":"2 um","outlet_frit":"2 um","rating":"400 bar"}
def prof(mid, cond, band, cut, fp, unit="bar", iid="KB-LC-21", step=1, emax=600, dwell=None, basis="measured"):
    ins={"id":iid,"pressure_unit":unit,"display_step":step,"entry_max":emax}
    if dwell: ins["dwell_volume"]=dwell
    return {"format":1,"method":{"id":mid,"revision":"C","site":"Kestrel Bay"},"instrument":ins,
      "cutoffs":{"high":cut[1],"low":cut[0]},"expected":{"low":band[0],"high":band[1],"basis":basis},
      "conditions":cond,"flow_path":fp}
ISO = prof("KB-CAF-101",{"flow":"1.0 mL/min","temperature":"30 degC","ambient":"22 degC","solvent_a":"water","solvent_b":"methanol","percent_b":30,"injection_volume":"10 uL"},(95,115),(50,145),parts("400 bar","150 bar",C18))
GRAD = prof("KB-IMP-102",{"flow":"0.4 mL/min","temperature":"40 degC","ambient":"22 degC","solvent_a":"water","solvent_b":"acetonitrile","gradient":[{"minute":0,"percent_b":5},{"minute":1,"percent_b":5},{"minute":9,"percent_b":95},{"minute":11,"percent_b":95},{"minute":D("11.1"),"percent_b":5},{"minute":14,"percent_b":5}],"injection_volume":"2 uL"},(210,420),(100,520),
  parts("1000 bar","600 bar",{"chemistry":"C18","length":"100 mm","bore":"2.1 mm","particle_size":"1.8 um","particle":"fully porous","inlet_frit":"0.2 um","outlet_frit":"0.2 um","rating":"1000 bar"},("400 mm","0.12 mm")),iid="KB-UH-22",emax=1000,dwell="0.4 mL")
NANO = prof("KB-PEP-103",{"flow":"300 nL/min","temperature":"45 degC","ambient":"22 degC","solvent_a":"water","solvent_b":"acetonitrile","gradient":[{"minute":0,"percent_b":3},{"minute":60,"percent_b":35},{"minute":65,"percent_b":80},{"minute":75,"percent_b":80}],"injection_volume":"1 uL"},(150,260),(70,325),
  parts("800 bar","500 bar",{"chemistry":"C18","length":"250 mm","bore":"75 um","particle_size":"3 um","particle":"fully porous","rating":"600 bar"},("500 mm","0.02 mm")),iid="KB-NA-23",emax=800,dwell="0.5 uL")
PREP = prof("KB-PUR-104",{"flow":"40 mL/min","temperature":"25 degC","ambient":"22 degC","solvent_a":"water","solvent_b":"acetonitrile","percent_b":40,"injection_volume":"5 mL"},(55,70),(25,88),
  parts("200 bar","100 bar",{"chemistry":"C18","length":"250 mm","bore":"30 mm","particle_size":"10 um","particle":"fully porous","rating":"120 bar"},("800 mm","0.75 mm")),iid="KB-PR-24",emax=200)
BUF = copy.deepcopy(ISO); BUF["method"]["id"]="KB-BUF-105"; BUF["conditions"]["solvent_a"]="20 mM phosphate, pH 2.5"
BASES={"iso":ISO,"grad":GRAD,"nano":NANO,"prep":PREP,"buf":BUF}
def sets(d, ch):
    for path,v in ch.items():
        if path.startswith("+"):
            kind=path[1:]; i=next(i for i,p in enumerate(d["flow_path"]) if p["part"]==kind)
            d["flow_path"].insert(i+1 if not v.pop("_before",False) else i, v); continue
        *t,k=path.split(".")
        at=d
        if t:
            n=t[0]
            if n in d: at=d[n]
            elif n in ("margins",): at=d.setdefault(n,{})
            else: at=next(p for p in d["flow_path"] if p["part"]==n)
        if v is None: at.pop(k,None)
        else: at[k]=v
there={"instrument.id":"HM-LC-41","method.site":"Harrow Mill"}
EXTRA={"expected.basis":"predicted"}
CASES={}
def case(name, base, recv=None, send=None, policy=None, spolicy=None, basis=True):
    CASES[name]=(base,send or {},dict({**there,**(EXTRA if basis else {})},**(recv or {})),policy)
exec((Path(__file__).parent/"cases.py").read_text())
def write():
    for name,(base,send,recv,policy) in CASES.items():
        f=Path(__file__).parent/name; f.mkdir(exist_ok=True)
        a=copy.deepcopy(BASES[base]); b=copy.deepcopy(BASES[base])
        sets(a,copy.deepcopy(send)); sets(b,copy.deepcopy(recv))
        (f/"from.toml").write_text(dump_profile(a)); (f/"to.toml").write_text(dump_profile(b))
        if policy: (f/"limitcheck.toml").write_text(policy)
if __name__=="__main__": write()
